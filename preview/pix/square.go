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

// reducer brings parts of one size to squares.
type reducer struct {
	w, h         int
	across, down taps
	row          []byte
}

func newReducer(w, h int) *reducer {
	return &reducer{w, h, weigh(axis{w, squareEdge, w, squareEdge}, false, true), weigh(axis{h, squareEdge, h, squareEdge}, false, false), make([]byte, w+room)}
}

// fill brings the part of the luma of m whose left upper corner is given to the
// square. It must lie inside the picture.
func (r *reducer) fill(s *square, m *jpeg.Image, x, y int) {
	from := m.Y[y*m.YStride+x:]
	for i := range squareEdge {
		rows(r.row[:r.w], from[int(r.down.first[i])*m.YStride:], m.YStride, r.down.of(i))
		narrow(s[i*squareEdge:][:squareEdge], r.row, &r.across)
	}
}

// windows brings parts of one picture to squares; parts of one size share their
// weights.
type windows struct {
	m        *jpeg.Image
	reducers []*reducer
}

// fill brings the part of the picture with the left and upper edge x, y and the size
// w, h, as shares of the picture's, to the square. Edges lie between whole samples.
func (p *windows) fill(s *square, x, y, w, h float64) {
	n := func(share float64, of int) int { return int(share*float64(of) + 0.5) }
	pw, ph := max(n(w, p.m.Width), 1), max(n(h, p.m.Height), 1)
	var r *reducer
	for _, have := range p.reducers {
		if have.w == pw && have.h == ph {
			r = have
		}
	}
	if r == nil {
		r = newReducer(pw, ph)
		p.reducers = append(p.reducers, r)
	}
	r.fill(s, p.m, min(n(x, p.m.Width), p.m.Width-pw), min(n(y, p.m.Height), p.m.Height-ph))
}

// flat is the difference between the darkest and the brightest sample of the
// square up to which it has no content to tell apart.
const flat = 2

func (s *square) flat() bool {
	lo, hi := s[0], s[0]
	for _, v := range s {
		if lo, hi = min(lo, v), max(hi, v); hi-lo > flat {
			return false
		}
	}
	return true
}

// hash returns the hash of the square. Its highest bit is the mean, the next one
// the lowest frequency across.
func (s *square) hash() uint64 {
	if s.flat() {
		return Flat
	}
	var low [hashEdge][squareEdge]float64 // the lowest frequencies across, of each row
	var line [squareEdge]float64
	for y := range squareEdge {
		for x, v := range s[y*squareEdge:][:squareEdge] {
			line[x] = float64(v)
		}
		for u, c := range lowest(&line) {
			low[u][y] = c
		}
	}
	var coefficients, sorted [hashEdge * hashEdge]float64
	for u := range low {
		for v, c := range lowest(&low[u]) {
			coefficients[v*hashEdge+u] = c
		}
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

// lowest returns the lowest frequencies of the unscaled DCT-II of a line, which it
// overwrites. The even half of the frequencies is the DCT of the line folded in its
// middle, so that a third of the products is left. Products are rounded before they
// are added: every processor gives the same bits.
func lowest(line *[squareEdge]float64) (out [hashEdge]float64) {
	for i := range 32 {
		a, b := line[i], line[63-i]
		line[i], a = a+b, a-b
		w := &odd[i]
		out[1] += float64(a * w[0])
		out[3] += float64(a * w[1])
		out[5] += float64(a * w[2])
		out[7] += float64(a * w[3])
	}
	for i := range 16 {
		a, b := line[i], line[31-i]
		line[i], a = a+b, a-b
		w := &twiceOdd[i]
		out[2] += float64(a * w[0])
		out[6] += float64(a * w[1])
	}
	for i := range 8 {
		a, b := line[i], line[15-i]
		out[0] += a + b
		out[4] += float64((a - b) * four[i])
	}
	return out
}

// The cosines of the DCT-II as far as lowest needs them: of the frequencies 1, 3, 5
// and 7, of 2 and 6, of 4.
var odd, twiceOdd, four = func() (o [32][4]float64, t [16][2]float64, f [8]float64) {
	wave := func(k, i int) float64 { return math.Cos(math.Pi * float64(k) * (float64(i) + 0.5) / squareEdge) }
	for i := range o {
		o[i] = [4]float64{wave(1, i), wave(3, i), wave(5, i), wave(7, i)}
	}
	for i := range t {
		t[i] = [2]float64{wave(2, i), wave(6, i)}
	}
	for i := range f {
		f[i] = wave(4, i)
	}
	return o, t, f
}()
