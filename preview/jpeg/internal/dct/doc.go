// Package dct has the 8x8 discrete cosine transforms of ITU-T T.81 Annex A.3.3
// as integer arithmetic: inverse ones that give a block at full size or at a
// half, a quarter or an eighth of it, and the forward one with quantisation.
// They exist in plain Go, for AVX2 and for NEON; which of them runs is decided
// when the program starts.
//
// # Equal bits
//
// The three give the same bits on any input, also where sane coefficients
// never lead. That is why every step has one meaning, the one that both
// instruction sets have at no cost:
//
//   - a coefficient times its quantisation step wraps to 16 bits;
//   - products of 16-bit values are exact, sums of them wrap to 32 bits, so that
//     an inverse transform is a matrix modulo 2^32, however it is factored;
//   - between the passes values are shifted down and saturated to 16 bits;
//   - at the end values are shifted down, saturated to a signed byte and moved
//     up by 128 (the level shift of A.3.1).
//
// The build tag purego leaves plain Go alone.
package dct
