package term

import "golang.org/x/sys/cpu"

// pairs is pairsGo for the first pixels of a row, 32 at a time, and returns how
// many.
func (t *tables) pairs(dst, luma, cb, cr []byte) int {
	n := len(luma) &^ 31
	if n == 0 || !cpu.X86.HasAVX2 {
		return 0
	}
	_, _, _ = dst[4*n-1], cb[n/2-1], cr[n/2-1]
	half, shift := 32, 6
	if t.dim {
		half, shift = 64, 7
	}
	pairsAVX2(&dst[0], &luma[0], &cb[0], &cr[0], n, half, shift)
	return n
}

// pairsAVX2 converts n pixels, a positive multiple of 32. Sums are 64ths; half is
// added to them before they are shifted to whole steps.
//
//go:noescape
func pairsAVX2(dst, luma, cb, cr *byte, n, half, shift int)
