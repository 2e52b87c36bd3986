// Package lanes has the inner loops of resampling, in float32: rows laid side by
// side in the lanes of vectors, samples weighed along a row, rows weighed into one,
// and a curve applied.
//
// Along a row the samples that belong together lie three apart and begin at another
// place for every pixel, which suits no vector. Eight rows are therefore taken at
// once: what one sample has in each of them lies side by side (Width values), and a
// weight is one for all eight.
//
// # Paths
//
// Every function exists in plain Go and for AVX2 with FMA, what resampling itself
// needs for NEON too; which of them runs is decided when the program starts (Path).
// Sums are rounded in another order, so
// that results agree to 1e-5 of the largest magnitude that went into them, not in
// their bits. The build tag purego leaves plain Go alone.
package lanes

// Width is how many rows lie side by side.
const Width = 8
