// Package jpeg turns the bytes of one embedded JPEG into planes of luma and
// chroma, at full size or at a half, a quarter or an eighth of it, and back.
//
// It reads what ITU-T T.81 calls baseline, extended sequential and progressive
// DCT with 8 bits a sample, grey, YCbCr, RGB and CMYK. The decoding itself is
// done by the standard library's image/jpeg; this package is the front that
// camera files need: it refuses sizes that the data cannot hold before anything
// is allocated, it gives the rows that are there of a cut-off picture, and it
// keeps the luma plane where measuring wants it.
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
// 8x8 samples, is refused first. Faults of the decoder come back as errors.
package jpeg
