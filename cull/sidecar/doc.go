// Package sidecar decides what of a frame's decision goes into its XMP file: which
// properties are set, which are somebody else's and stay, and what is taken back
// when a frame is decided anew. It is pure: bytes in, bytes out; the caller reads,
// writes atomically and remembers what was written.
//
// Ours are xmp:Rating (ISO 16684-1 §8.4: -1 rejected, 0 or absent unrated, to 5),
// xmpDM:good, xmpDM:scene and xmpDM:cameraLabel (XMP Part 2), xmp:MetadataDate as
// the trace of a change, and single keywords of dc:subject; and, where the studio
// says so, dc:creator, dc:rights (XMP Part 1, Dublin Core) and the credit line (XMP
// Part 2; IPTC Photo Metadata: Creator, Copyright Notice, Credit Line); and, where it
// is asked for and a clock was corrected, exif:DateTimeOriginal (CIPA DC-010) and
// xmp:CreateDate. All else in the file stays byte for byte (see preview/xmp).
//
// # Whose value it is
//
// A value is ours if it equals the one that Last says we wrote. One that differs
// from it and from what is wanted is somebody else's and is never replaced without
// Request.Replace: that is a conflict, listed with a reason. A value that is what
// we want although we never wrote it stays theirs: it is not taken back later. Two
// exceptions: an empty or unrated value belongs to nobody (a replaced 0 is not put
// back when ours is withdrawn: absent means the same); and where nothing is
// known of earlier writing (Last is nil, a rebuilt catalogue), a file whose
// xmp:MetadataDate is exactly the frame's is one that we wrote.
//
// Rating and good say the same thing, so they stand or fall together: with a
// conflict in one, neither is written. Scene, camera label and keywords are
// facts beside the judgement; they are merged even then. Who made the picture, who is
// to be named and whose it is, are not replaced even with Request.Replace.
package sidecar
