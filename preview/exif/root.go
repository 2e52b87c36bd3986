package exif

// Root says what the first directory of a TIFF structure is.
type Root int

// RootIFD0 is the ordinary case. The others are the parts that an ISO-BMFF raw
// file carries as TIFF structures of their own.
const (
	RootIFD0      Root = iota // the main directory, with pointers to the rest
	RootExif                  // the directory of exposure data (tags 0x829A ...)
	RootGPS                   // the directory of places; nothing is taken from it
	RootCanonNote             // Canon's maker note
)
