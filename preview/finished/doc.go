// Package finished opens the pictures that an editor gives back: JPEG, TIFF and
// PNG, as large as panoramas, whatever their samples mean. Open reads heads: size,
// orientation, profile, and what the picture says about itself and where it comes
// from. Rows then decodes once, from the top, a row at a time.
//
// # What is read
//
// JPEG: what package jpeg reads as planes of luma and chroma; RGB and CMYK by the
// standard library. TIFF 6.0: 8 and 16 bits, grey, RGB, CMYK and palettes, strips
// and tiles, chunky and planar, stored plainly or with PackBits, LZW or deflate,
// with and without the horizontal predictor, in both byte orders. PNG: all of the
// standard's forms, but no high dynamic range.
//
// A row holds the samples as the profile means them, brought to 16 bits and not
// converted. Chroma of JPEGs is interpolated between its samples' centres, without
// rounding to 8 bits in between. What is transparent is laid on white, in the
// values as they are stored, as viewers do that know nothing of light.
//
// # Whole or an error
//
// A finished picture has to be whole: what is cut off or broken is an error here,
// however many rows could be shown. A JPEG's comes before its first row; a
// TIFF's or PNG's may come after rows were given, so that nothing made of rows
// counts before Rows has returned nil.
//
// # Caveats
//
// Of a TIFF the first full picture of its main directories counts, of extended XMP
// nothing: document ids and texts stand in the standard packet.
//
// # Security
//
// Input is untrusted. Sizes are refused before anything is allocated for them; a
// file of few bytes cannot ask for many, since rows are unpacked as they are asked
// for and whole pictures are held only where the coded data could amount to them.
package finished
