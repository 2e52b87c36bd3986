//go:build !purego

package dct

import "golang.org/x/sys/cpu"

// Path names the code that runs here: "avx2", "neon" or "go".
func Path() string {
	if cpu.X86.HasAVX2 {
		return "avx2"
	}
	return "go"
}

//go:noescape
func inverse8AVX2(dst *byte, stride int, coef *Block, n int, q *Table)

//go:noescape
func inverse4AVX2(dst *byte, stride int, coef *Block, n int, q *Table)

//go:noescape
func inverse2AVX2(dst *byte, stride int, coef *Block, n int, q *Table)

// The functions of vector code report whether there is any.

func fastInverse8(dst []byte, stride int, coef *Block, n int, q *Table) bool {
	if cpu.X86.HasAVX2 {
		inverse8AVX2(&dst[0], stride, coef, n, q)
	}
	return cpu.X86.HasAVX2
}

func fastInverse4(dst []byte, stride int, coef *Block, n int, q *Table) bool {
	if cpu.X86.HasAVX2 {
		inverse4AVX2(&dst[0], stride, coef, n, q)
	}
	return cpu.X86.HasAVX2
}

func fastInverse2(dst []byte, stride int, coef *Block, n int, q *Table) bool {
	if cpu.X86.HasAVX2 {
		inverse2AVX2(&dst[0], stride, coef, n, q)
	}
	return cpu.X86.HasAVX2
}

//go:noescape
func forwardAVX2(coef *Block, nonzero *uint64, src *byte, stride, n int, z *Quantiser)

func fastForward(coef *Block, nonzero *uint64, src []byte, stride, n int, z *Quantiser) bool {
	if cpu.X86.HasAVX2 {
		forwardAVX2(coef, nonzero, &src[0], stride, n, z)
	}
	return cpu.X86.HasAVX2
}
