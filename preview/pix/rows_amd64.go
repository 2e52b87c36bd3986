package pix

import "golang.org/x/sys/cpu"

// mix is mixGo with 32 samples at a time.
func mix(dst, src []byte, stride int, weights []int16) {
	if !cpu.X86.HasAVX2 || len(dst) < 32 || len(weights)%2 != 0 {
		mixGo(dst, src, stride, weights)
		return
	}
	_ = src[(len(weights)-1)*stride:][len(dst)-1]
	mixAVX2(&dst[0], &src[0], stride, &weights[0], len(weights)/2, len(dst))
}

// narrow is narrowGo with 8 samples at a time. There must be room behind the row.
func narrow(dst, src []byte, t *taps) {
	if !cpu.X86.HasAVX2 || len(dst) < 8 || t.n > 16 {
		narrowGo(dst, src, t, 0)
		return
	}
	_, _ = t.first[len(dst)-1], t.weight[len(dst)*t.n-1]
	switch t.n {
	case 4:
		narrow4AVX2(&dst[0], &src[0], &t.first[0], &t.weight[0], len(dst))
	case 8:
		narrow8AVX2(&dst[0], &src[0], &t.first[0], &t.weight[0], len(dst))
	case 16:
		narrow16AVX2(&dst[0], &src[0], &t.first[0], &t.weight[0], len(dst))
	default:
		narrowGo(dst, src, t, 0)
	}
}

// mixAVX2 takes pairs of rows; n is at least 32.
//
//go:noescape
func mixAVX2(dst, src *byte, stride int, weights *int16, pairs, n int)

// These take n samples with as many taps each as their name says; n is at least 8.

//go:noescape
func narrow4AVX2(dst, src *byte, first *int32, weights *int16, n int)

//go:noescape
func narrow8AVX2(dst, src *byte, first *int32, weights *int16, n int)

//go:noescape
func narrow16AVX2(dst, src *byte, first *int32, weights *int16, n int)
