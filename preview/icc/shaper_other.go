//go:build !amd64 || purego

package icc

func (s *shaper) linear(dst []float32, src []uint16) { s.linearGo(dst, src) }
