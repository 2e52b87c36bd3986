// Package jpeg turns the bytes of one embedded JPEG into planes of luma and
// chroma, at full size or at a half, a quarter or an eighth of it, all of the
// picture or a part, and back.
//
// It reads what ITU-T T.81 calls baseline, extended sequential and progressive
// DCT with 8 bits a sample, grey, YCbCr, RGB and CMYK. What cameras write,
// sequential pictures of one or three components in one scan, it decodes by
// itself; the rest is left to the standard library's image/jpeg behind the same
// call. It refuses sizes that the data cannot hold before anything is allocated,
// it gives the rows that are there of a cut-off picture, and it keeps the luma
// plane where measuring wants it.
//
// # How a sequential picture is decoded
//
// header.go and tables.go read what stands before the scan, and layout.go makes
// of it where each block goes. Workers (scan.go) read the entropy-coded data by
// package entropy into strips of a few dozen units; planes.go has them
// transformed by package dct, at a reduced scale straight to fewer samples, and
// exact.go does over what that does not get right. run.go shares rows out to
// several workers: side by side where they can be begun anywhere, by an Index or
// restart markers, and otherwise one that reads and one that transforms.
//
// # Exactness
//
// Luma at full size and at an eighth is bit by bit what libjpeg's accurate
// integer transform gives. A half and a quarter are means of the full decode,
// to 55 dB and better. All ways to a sample give the same: parts and wholes, any
// number of workers, assembly and plain Go.
//
// # Caveats
//
// Of a progressive picture in colour with restart markers, which no camera is
// known to embed, only the first scan is understood: it comes out soft and
// marked as truncated.
//
// # Security
//
// Memory is decided by the declared size, never by another field: a picture of
// more than Options.MaxPixels, or with fewer than MinBits bits for a block of
// 8x8 samples, is refused first. Faults of the standard library's decoder come
// back as errors.
package jpeg
