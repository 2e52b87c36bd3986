// Package small makes and reads the picture that stays of a raw file that is not
// kept: the largest JPEG that the camera put into it, behind segments of ours that
// say what it was.
//
// # A file
//
// Start of image; Exif (CIPA DC-008) with the frame's orientation, what the camera
// said of the exposure and the time of its own clock, so that every viewer shows the
// picture upright and in its colours; XMP (ISO 16684-1) with everything that is
// needed to know the frame again, in a namespace of our own, the corrected time, and
// the chain back to the original; then of the camera's JPEG its tables, frame header,
// colour profile and Adobe's segment, and from the first scan on its data byte for
// byte, up to the end of image. What else the camera had there (thumbnails, maker
// notes, comments) is left behind.
//
// The same input gives the same bytes.
//
// # Reading
//
// Read knows such a file by the XMP segment that follows its Exif, never by its name.
// How long the rest is and its sum are in it: a picture that was cut off, or that an
// editor saved again with our properties still in it, is told from a whole one.
//
// # Security
//
// Input is untrusted. Read looks at the two segments alone, Of reads only what was
// found to lie inside the file, and sizes are checked before anything is decoded.
package small
