package pix

import (
	"math"
	"slices"

	"garner/preview/jpeg"
)

// This file makes DCT hashes. The part of a picture is brought to a square by area
// averaging, so that every preview of a frame gives nearly the same square; of its
// two-dimensional DCT-II the 64 coefficients of the lowest frequencies are taken,
// the mean included; a bit is set where a coefficient is above their median. That
// is the definition of the module goimagehash, with which the tests compare it.

// squareEdge is the size of the square that is hashed.
const squareEdge = 64

// square is a part of a picture, row by row.
type square [squareEdge * squareEdge]byte

// window is a part of a picture: its left and upper edge and its size, as shares
// of the picture's width and height.
type window struct{ x, y, size float64 }

// fill brings a part of the luma of m to the square.
func (s *square) fill(m *jpeg.Image, w window) {
	across := spansOf(squareEdge, m.Width, w.x*float64(m.Width), w.size*float64(m.Width))
	down := spansOf(squareEdge, m.Height, w.y*float64(m.Height), w.size*float64(m.Height))
	shrink(s[:], squareEdge, m.Y, m.YStride, across, down)
}

// flat is the difference between the darkest and the brightest sample of the
// square up to which it has no content to tell apart.
const flat = 2

func (s *square) flat() bool {
	lo, hi := s[0], s[0]
	for _, v := range s {
		lo, hi = min(lo, v), max(hi, v)
	}
	return hi-lo <= flat
}

// hash returns the hash of the square. Its highest bit is the mean, the next one
// the lowest frequency across.
func (s *square) hash() uint64 {
	if s.flat() {
		return Flat
	}
	var low [squareEdge * hashEdge]float64 // of each column, one after the other, the lowest frequencies down
	var line [squareEdge]float64
	for x := range squareEdge {
		for y := range squareEdge {
			line[y] = float64(s[y*squareEdge+x])
		}
		lowest(&line, (*[hashEdge]float64)(low[x*hashEdge:]))
	}
	var coefficients, sorted [hashEdge * hashEdge]float64
	for v := range hashEdge {
		for x := range squareEdge {
			line[x] = low[x*hashEdge+v]
		}
		lowest(&line, (*[hashEdge]float64)(coefficients[v*hashEdge:]))
	}
	sorted = coefficients
	slices.Sort(sorted[:])
	median := sorted[31]/2 + sorted[32]/2
	h := uint64(0)
	for _, c := range coefficients {
		h <<= 1
		if c > median {
			h |= 1
		}
	}
	return h
}

// hashEdge is how many frequencies are kept in either direction.
const hashEdge = 8

// lowest writes the lowest frequencies of the unscaled DCT-II of a line, which it
// overwrites. The even half of the frequencies is the DCT of the line folded in its
// middle, so that a fifth of the products is left. Products are rounded before they
// are added: every processor gives the same bits.
func lowest(line *[squareEdge]float64, out *[hashEdge]float64) {
	n := squareEdge
	for step := 1; step < hashEdge; step *= 2 {
		n /= 2
		var odd [squareEdge / 2]float64
		for i := range n {
			a, b := line[i], line[2*n-1-i]
			line[i], odd[i] = a+b, a-b
		}
		for k := step; k < hashEdge; k += 2 * step {
			sum := 0.0
			wave := waves[k][:n]
			for i, w := range wave {
				sum += float64(odd[i] * w)
			}
			out[k] = sum
		}
	}
	sum := 0.0
	for _, v := range line[:n] {
		sum += v
	}
	out[0] = sum
}

// waves are the cosines of the DCT-II for each frequency, as far as lowest needs
// them: with index k over a line folded as often as k has factors of two.
var waves = func() (w [hashEdge][squareEdge / 2]float64) {
	for k := 1; k < hashEdge; k++ {
		for i := range w[k] {
			w[k][i] = math.Cos(math.Pi * float64(k) * (float64(i) + 0.5) / squareEdge)
		}
	}
	return w
}()
