//go:build !purego

package finished

import "golang.org/x/sys/cpu"

// Each of these does the most of a row eight samples at a time, and the rest in Go.

func blend(dst []int32, a, b []byte, near, far int32) {
	n := 0
	if a, b = a[:len(dst)], b[:len(dst)]; cpu.X86.HasAVX2 && len(dst) >= 8 {
		n = len(dst) &^ 7
		blendAVX2(&dst[0], &a[0], &b[0], near, far, n)
	}
	blendGo(dst[n:], a[n:], b[n:], near, far)
}

func double(dst, src []int32) {
	n := 0
	if w := len(src) - 2; cpu.X86.HasAVX2 && w >= 8 {
		n = w &^ 7
		_ = dst[2*w-1]
		doubleAVX2(&dst[0], &src[0], n)
	}
	doubleGo(dst[2*n:], src[n:])
}

func colour(dst []uint16, luma []byte, cb, cr []int32, k *coefficients) {
	n := 0
	if cb, cr, dst = cb[:len(luma)], cr[:len(luma)], dst[:3*len(luma)]; cpu.X86.HasAVX2 && len(luma) >= 8 {
		n = len(luma) &^ 7
		colourAVX2(&dst[0], &luma[0], &cb[0], &cr[0], k, n)
	}
	colourGo(dst[3*n:], luma[n:], cb[n:], cr[n:], k)
}

// In all of them n is a multiple of 8 and not 0. Src of doubleAVX2 has a sample more
// before and behind.

//go:noescape
func blendAVX2(dst *int32, a, b *byte, near, far int32, n int)

//go:noescape
func doubleAVX2(dst, src *int32, n int)

//go:noescape
func colourAVX2(dst *uint16, luma *byte, cb, cr *int32, k *coefficients, n int)
