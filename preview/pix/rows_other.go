//go:build !amd64

package pix

func mix(dst, src []byte, stride int, weights []int16) { mixGo(dst, src, stride, weights) }

func narrow(dst, src []byte, t *taps) { narrowGo(dst, src, t, 0) }
