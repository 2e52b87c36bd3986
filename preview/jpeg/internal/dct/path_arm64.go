//go:build !purego

package dct

// Path names the code that runs here: "avx2", "neon" or "go". Every 64-bit
// Arm processor that Go runs on has NEON.
func Path() string { return "neon" }

//go:noescape
func inverse8NEON(dst *byte, stride int, coef *Block, n int, q *Table)

//go:noescape
func inverse4NEON(dst *byte, stride int, coef *Block, n int, q *Table)

//go:noescape
func inverse2NEON(dst *byte, stride int, coef *Block, n int, q *Table)

// The functions of vector code report whether there is any.

func fastInverse8(dst []byte, stride int, coef *Block, n int, q *Table) bool {
	inverse8NEON(&dst[0], stride, coef, n, q)
	return true
}

func fastInverse4(dst []byte, stride int, coef *Block, n int, q *Table) bool {
	inverse4NEON(&dst[0], stride, coef, n, q)
	return true
}

func fastInverse2(dst []byte, stride int, coef *Block, n int, q *Table) bool {
	inverse2NEON(&dst[0], stride, coef, n, q)
	return true
}

//go:noescape
func forwardNEON(coef *Block, nonzero *uint64, src *byte, stride, n int, z *Quantiser)

func fastForward(coef *Block, nonzero *uint64, src []byte, stride, n int, z *Quantiser) bool {
	forwardNEON(coef, nonzero, &src[0], stride, n, z)
	return true
}
