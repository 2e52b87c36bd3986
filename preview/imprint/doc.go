// Package imprint makes the finished file of a picture: rows of linear light
// become coded planes, a stamp is put onto them, and planes become a JPEG with
// the metadata that a print lab, a gallery and a client need, and no other.
//
// # A file
//
// Sheet takes rows from the top, as a resampler gives them, and fills 8-bit
// planes of luma and chroma (JFIF 1.02). Stamper sets a line of text, or a PNG,
// for one size of picture; its Mark is laid onto the rows on their way. Write
// encodes the planes, at one quality or the best one whose file stays below a
// limit, and puts segments around them. Check decodes what was written and holds
// it against the planes.
//
// Nothing here knows a clock, chance, a file system or a network: bytes come in
// and bytes go out, and the same input gives the same bytes. What XMP calls the
// ids of a document are hashes (Chain).
//
// # What is in a file, in order
//
// JFIF with the density in pixels per inch; Exif (CIPA DC-008) with what people
// typed, the corrected time and, of the camera, what makes a picture
// understandable; XMP (ISO 16684-1) with the chain from the original; IPTC-IIM
// in its image resource, because labs read captions and credits there; the ICC
// profile. There is no thumbnail, no maker note, no history of edits, and
// neither serial numbers nor a place unless they are asked for: nothing of the
// input is copied but what this package lists.
//
// # Security
//
// Stamps, fonts and metadata are untrusted. Sizes of PNG files and of letters
// are bounded before anything is allocated for them; text from files loses its
// control characters; metadata that do not fit are refused, never split.
package imprint
