//go:build !purego

package icc

import "golang.org/x/sys/cpu"

// linear is linearGo with the three sums of a pixel at once.
func (s *shaper) linear(dst []float32, src []uint16) {
	n := len(src)/3 - 1 // a fourth number is written behind each pixel but the last
	if n <= 0 || !cpu.X86.HasAVX {
		s.linearGo(dst, src)
		return
	}
	_ = dst[3*n+2]
	shapeAVX(&dst[0], &src[0], n, s.table[0], s.table[1], s.table[2], &s.columns)
	s.linearGo(dst[3*n:], src[3*n:])
}

// shapeAVX takes n pixels and writes one number behind them.
//
//go:noescape
func shapeAVX(dst *float32, src *uint16, n int, red, green, blue *light, columns *[4][4]float32)
