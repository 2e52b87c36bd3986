// Package resample brings finished pictures to the sizes of output sets, in linear
// light: what a size means (Plan), a windowed sinc of three lobes (Resampler), fed
// with the rows of one decode for all sets (Feed), the curve of the output's space
// (Curve), sharpening (Sharpener), and turning upright (Place).
//
// Rows are interleaved red, green and blue. "Linear" values are light, 1 being
// white; they may lie outside of 0..1, since a colour space may lack colours and a
// sinc overshoots. "Encoded" values are those of the output's curve, 0..1. Nothing is
// clipped before it becomes a code.
//
//	Feed.Row → Resampler → Curve.Encode → Sharpener → Quantise → Place
//
// Memory is rows alone: eight of the source and as many of each result's width as
// its filter is high.
//
// # Kernel
//
// L(x) = sinc(x) sinc(x/3) for |x| < 3 (Lanczos), stretched by the scale where a
// picture gets smaller, so that the filter also removes what the smaller picture
// cannot hold. Weights of a sample add up to one, so that flat areas keep their
// value. Beyond its edges a picture goes on as its last row and column do; a crop is a
// picture of its own, of which nothing outside is seen.
//
// # Hostile input
//
// Sizes are checked against MaxEdge and MaxPixels. Values have to be finite: those
// that are not may spoil others of their row, but nothing else.
package resample
