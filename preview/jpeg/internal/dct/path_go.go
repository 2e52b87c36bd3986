//go:build purego || !(amd64 || arm64)

package dct

// Path names the code that runs here: "avx2", "neon" or "go".
func Path() string { return "go" }

// The functions of vector code report whether there is any: here there is none.

func fastInverse8(dst []byte, stride int, coef *Block, n int, q *Table) bool { return false }
func fastInverse4(dst []byte, stride int, coef *Block, n int, q *Table) bool { return false }
func fastInverse2(dst []byte, stride int, coef *Block, n int, q *Table) bool { return false }

func fastForward(coef *Block, nonzero *uint64, src []byte, stride, n int, z *Quantiser) bool {
	return false
}
