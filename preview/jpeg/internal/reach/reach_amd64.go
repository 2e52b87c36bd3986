//go:build !purego

package reach

import "golang.org/x/sys/cpu"

// Path names the code that runs here: "avx2" or "go".
func Path() string {
	if cpu.X86.HasAVX2 {
		return "avx2"
	}
	return "go"
}

//go:noescape
func wildAVX2(wild *byte, coef *Block, n int, q *[64]uint16)

func wildFast(wild []byte, coef []Block, q *[64]uint16) bool {
	if !cpu.X86.HasAVX2 {
		return false
	}
	wildAVX2(&wild[0], &coef[0], len(coef), q)
	return true
}
