package icc

import (
	"fmt"
	"math"
)

// This file has what a device's numbers go through on their way to the profile
// connection space (ICC.1:2022 clauses 10.10 to 10.12): curves, matrices and grids.

// lut is the way from a device's channels, 0 to 1 each, to XYZ where white is 1, 1, 1;
// or, for the black point alone, from the connection space to the device.
type lut struct {
	steps []step
	pcs   encoding // of what the last step gives
}

// step is one of the three.
type step struct {
	curves []tone
	matrix *affine
	grid   *grid
}

// affine is a matrix with an offset behind each row.
type affine [3][4]float64

// encoding is how three numbers from 0 to 1 stand for a colour.
type encoding uint8

const (
	white   encoding = iota // XYZ where white is 1, 1, 1
	pcsXYZ                  // ICC.1:2022 table 15
	pcsLab                  // table 12 and, of bytes, table 13
	pcsLab2                 // of 16 bits in lut16Type, table 43
)

// xyzScale is what 1 stands for in XYZ: u1Fixed15Number.
const xyzScale = 1 + 32767.0/32768

// lab2Scale is what 1 stands for in a lut16Type, where 0xFF00 is 100.
const lab2Scale = 65535.0 / 65280

// at takes v through the steps; the rest of v is not used.
func (l *lut) at(v [4]float64) [3]float64 {
	for _, s := range l.steps {
		v = s.at(v)
	}
	return l.pcs.decode([3]float64(v[:3]))
}

func (s step) at(v [4]float64) [4]float64 {
	switch {
	case s.grid != nil:
		return s.grid.at(v)
	case s.matrix != nil:
		w := v
		for r, m := range s.matrix {
			v[r] = m[0]*w[0] + m[1]*w[1] + m[2]*w[2] + m[3]
		}
	default:
		for i, t := range s.curves {
			v[i] = t.at(v[i])
		}
	}
	return v
}

// decode brings numbers of the connection space to XYZ where white is 1, 1, 1.
func (e encoding) decode(v [3]float64) [3]float64 {
	w := d50()
	switch e {
	case pcsXYZ:
		for i := range v {
			v[i] *= xyzScale / w[i]
		}
	case pcsLab, pcsLab2:
		m := e.roots()
		f := v
		for r, m := range m {
			v[r] = cube(m[0]*f[0] + m[1]*f[1] + m[2]*f[2] + m[3])
		}
	}
	return v
}

// encode is the opposite of decode.
func (e encoding) encode(v [3]float64) [4]float64 {
	w := d50()
	if e == pcsXYZ {
		return [4]float64{v[0] * w[0] / xyzScale, v[1] * w[1] / xyzScale, v[2] * w[2] / xyzScale}
	}
	scale := 1.0
	if e == pcsLab2 {
		scale = lab2Scale
	}
	x, y, z := root(v[0]), root(v[1]), root(v[2])
	return [4]float64{(116*y - 16) / 100 / scale, (500*(x-y) + 128) / 255 / scale, (200*(y-z) + 128) / 255 / scale}
}

// roots takes encoded L*, a* and b* to f(X), f(Y) and f(Z) of CIE 15, the cube roots
// of light where it is not very dark.
func (e encoding) roots() affine {
	scale := 1.0
	if e == pcsLab2 {
		scale = lab2Scale
	}
	l, a, b := 100*scale/116, 255*scale/500, 255*scale/200
	return affine{
		{l, a, 0, 16.0/116 - 128.0/500},
		{l, 0, 0, 16.0 / 116},
		{l, 0, -b, 16.0/116 + 128.0/200},
	}
}

// The straight part of CIE 15's cube root, below the eighth-something of L*.
const (
	cubeFrom  = 24.0 / 116
	cubeSlope = 108.0 / 841
	cubeZero  = 16.0 / 116
)

func cube(f float64) float64 {
	if f <= cubeFrom {
		return cubeSlope * (f - cubeZero)
	}
	return f * f * f
}

// root is its inverse.
func root(v float64) float64 {
	if v <= cubeFrom*cubeFrom*cubeFrom {
		return v/cubeSlope + cubeZero
	}
	return math.Cbrt(v)
}

// grid is a colour look-up table: the first channel varies most slowly.
type grid struct {
	in, out int
	n       [4]int // points of each channel, 2 or more
	values  []float32
}

// newGrid checks that n points and out numbers at each of them are in there, and takes
// them; width is 1 or 2 bytes.
func newGrid(points []byte, out, width int, b []byte) (*grid, error) {
	g := &grid{in: len(points), out: out}
	room, total := len(b)/width, out
	for i, p := range points {
		if p < 2 {
			return nil, FormatError(fmt.Sprintf("a table with %d points", p))
		}
		if total *= int(p); total > room { // room is below 2^22, p below 2^8
			return nil, FormatError("a table longer than its data")
		}
		g.n[i] = int(p)
	}
	g.values = make([]float32, total)
	t := tone{samples: b[:total*width], width: width}
	for i := range g.values {
		g.values[i] = float32(t.sample(i))
	}
	return g, nil
}

// at interpolates: between two points of one channel, in tetrahedra of three, and of
// four between two such results, as Little CMS does.
func (g *grid) at(v [4]float64) [4]float64 {
	var low, part [4]float64
	var base int
	var stride [4]int
	for i, s := g.in-1, g.out; i >= 0; i-- {
		place := clip(v[i]) * float64(g.n[i]-1)
		low[i] = float64(min(int(place), g.n[i]-2))
		part[i] = place - low[i]
		stride[i] = s
		base += int(low[i]) * s
		s *= g.n[i]
	}
	if g.in != 4 {
		return g.simplex(base, stride[:g.in], part[:g.in])
	}
	a := g.simplex(base, stride[1:], part[1:])
	b := g.simplex(base+stride[0], stride[1:], part[1:])
	for i := range a {
		a[i] += (b[i] - a[i]) * part[0]
	}
	return a
}

// simplex walks from a point along the axes, the one with the largest part first.
func (g *grid) simplex(base int, stride []int, part []float64) (v [4]float64) {
	var s [3]int
	var p [3]float64
	n := copy(p[:], part)
	copy(s[:], stride)
	for range n { // few enough to sort by swaps
		for i := 1; i < n; i++ {
			if p[i] > p[i-1] {
				p[i], p[i-1], s[i], s[i-1] = p[i-1], p[i], s[i-1], s[i]
			}
		}
	}
	last := 1.0
	for i := 0; ; i++ {
		next := 0.0
		if i < n {
			next = p[i]
		}
		for k := range g.out {
			v[k] += float64(g.values[base+k]) * (last - next)
		}
		if i == n {
			return v
		}
		base, last = base+s[i], next
	}
}
