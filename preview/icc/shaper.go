package icc

import "bytes"

// This file is the fast way: a table for each channel, then a matrix.

// light is the linear light of every code.
type light [1 << 16]float32

// shaper holds the tables and the columns of the matrix, the offset last.
type shaper struct {
	table   [3]*light
	columns [4][4]float32
}

func newShaper(curves []tone, m *affine) *shaper {
	s := new(shaper)
	for i := range curves {
		s.table[i] = newLight(curves, s.table[:i])
	}
	for r, row := range m {
		for c, v := range row {
			s.columns[c][r] = float32(v)
		}
	}
	return s
}

// newLight works the next table out, or takes one of those that are done if its curve is
// the same.
func newLight(curves []tone, done []*light) *light {
	t := curves[len(done)]
	for i, old := range done {
		if curves[i].equal(t) {
			return old
		}
	}
	l := new(light)
	for i := range l {
		l[i] = float32(t.at(float64(i) / 65535))
	}
	return l
}

// equal reports whether two curves are of the same bytes, or both one of ours.
func (t tone) equal(u tone) bool {
	return bytes.Equal(t.raw, u.raw) && t.width == u.width && bytes.Equal(t.samples, u.samples)
}

// linearGo is in plain Go what assembly does elsewhere, to the last bit: the
// conversions keep compilers from joining a product and a sum.
func (s *shaper) linearGo(dst []float32, src []uint16) {
	r, g, b := s.table[0], s.table[1], s.table[2]
	m0, m1, m2, m3 := s.columns[0], s.columns[1], s.columns[2], s.columns[3]
	for len(src) >= 3 && len(dst) >= 3 {
		x, y, z := r[src[0]], g[src[1]], b[src[2]]
		dst[0] = float32(float32(float32(x*m0[0])+float32(y*m1[0]))+float32(z*m2[0])) + m3[0]
		dst[1] = float32(float32(float32(x*m0[1])+float32(y*m1[1]))+float32(z*m2[1])) + m3[1]
		dst[2] = float32(float32(float32(x*m0[2])+float32(y*m1[2]))+float32(z*m2[2])) + m3[2]
		src, dst = src[3:], dst[3:]
	}
}
