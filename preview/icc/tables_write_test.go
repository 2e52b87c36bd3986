package icc

import (
	"encoding/binary"
	"math/rand/v2"
)

// This file lays out tables for tests (ICC.1:2022 clauses 10.10 to 10.12); it shares
// nothing with what is tested.

// lutType is a lut8Type (width 1) or a lut16Type (width 2) whose numbers, from 0 to 1,
// are given by functions of curve, place and output.
type lutType struct {
	width, in, out, points int
	entries, exits         int // of a lut16Type
	matrix                 [9]float64
	entry, exit            func(channel int, x float64) float64
	node                   func(place []float64) []float64
}

func unitMatrix() [9]float64 { return [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 1} }

func (l lutType) bytes() []byte {
	b := []byte("mft1\x00\x00\x00\x00")
	entries, exits := 256, 256
	if l.width == 2 {
		b[3] = '2'
		entries, exits = l.entries, l.exits
	}
	b = append(b, byte(l.in), byte(l.out), byte(l.points), 0)
	b = append(b, s15(l.matrix[:]...)...)
	if l.width == 2 {
		b = binary.BigEndian.AppendUint16(b, uint16(entries))
		b = binary.BigEndian.AppendUint16(b, uint16(exits))
	}
	for c := range l.in {
		for i := range entries {
			b = number01(b, l.width, l.entry(c, float64(i)/float64(entries-1)))
		}
	}
	b = nodes(b, l.width, repeat(l.points, l.in), l.node)
	for c := range l.out {
		for i := range exits {
			b = number01(b, l.width, l.exit(c, float64(i)/float64(exits-1)))
		}
	}
	return b
}

func repeat(points, channels int) []int {
	var list []int
	for range channels {
		list = append(list, points)
	}
	return list
}

func number01(b []byte, width int, v float64) []byte {
	if width == 1 {
		return append(b, byte(v*255+0.5))
	}
	return binary.BigEndian.AppendUint16(b, uint16(v*65535+0.5))
}

// nodes writes a grid, the first channel varying most slowly.
func nodes(b []byte, width int, points []int, node func([]float64) []float64) []byte {
	place := make([]float64, len(points))
	var walk func(channel int)
	walk = func(channel int) {
		if channel == len(points) {
			for _, v := range node(place) {
				b = number01(b, width, v)
			}
			return
		}
		for i := range points[channel] {
			place[channel] = float64(i) / float64(points[channel]-1)
			walk(channel + 1)
		}
	}
	walk(0)
	return b
}

// aToB is a lutAToBType of those parts; what is nil is left out. All curves are given
// as tag data.
type aToB struct {
	in     int
	a, m   [][]byte
	width  int
	points []int
	node   func([]float64) []float64
	matrix []float64 // twelve
	b      [][]byte
}

func (t aToB) bytes() []byte {
	out := append([]byte("mAB \x00\x00\x00\x00"), byte(t.in), 3, 0, 0)
	out = append(out, make([]byte, 20)...)
	place := func(at int) { binary.BigEndian.PutUint32(out[at:], uint32(len(out))) }
	curves := func(at int, list [][]byte) {
		if list == nil {
			return
		}
		place(at)
		for _, c := range list {
			out = append(out, c...)
			for len(out)%4 != 0 {
				out = append(out, 0)
			}
		}
	}
	curves(12, t.b)
	if t.matrix != nil {
		place(16)
		out = append(out, s15(t.matrix...)...)
	}
	curves(20, t.m)
	if t.node != nil {
		place(24)
		grid := make([]byte, 20)
		for i, p := range t.points {
			grid[i] = byte(p)
		}
		grid[16] = byte(t.width)
		out = nodes(append(out, grid...), t.width, t.points, t.node)
		for len(out)%4 != 0 {
			out = append(out, 0)
		}
	}
	curves(28, t.a)
	return out
}

// made are profiles of every kind of table, with numbers as a device might have them and
// some disorder in them.
func made() map[string][]byte {
	random := rand.New(rand.NewPCG(7, 7))
	profile := func(version byte, class, space, pcs string, tag []byte) []byte {
		b := writer{class: class, space: space, pcs: pcs}.with("desc", mlucType("made")).with("wtpt", xyzType(0.9642, 1, 0.8249)).with("cprt", mlucType("none")).with("A2B0", tag).bytes()
		b[8] = version
		return b
	}
	bent := func(c int, x float64) float64 { return x * (0.6 + 0.1*float64(c) + (0.4-0.1*float64(c))*x) }
	plain := func(_ int, x float64) float64 { return x }
	noise := func() float64 { return 0.03 * (random.Float64() - 0.5) }
	in01 := func(v ...float64) []float64 {
		for i := range v {
			v[i] = min(max(v[i], 0), 1)
		}
		return v
	}
	// A device's L*, a* and b*, or its XYZ, as numbers from 0 to 1.
	lab := func(p []float64) []float64 {
		r, g, b := p[0], p[1], p[2]
		if len(p) == 4 {
			r, g, b = (1-r)*(1-p[3]), (1-g)*(1-p[3]), (1-b)*(1-p[3])
		}
		return in01(0.05+0.9*(0.3*r+0.6*g+0.1*b)+noise(), 0.5+0.3*(r-g)+noise(), 0.5+0.3*(g-b)+noise())
	}
	xyz := func(p []float64) []float64 {
		r, g, b := p[0]*p[0], p[1]*p[1], p[2]*p[2]
		return in01(0.482*(0.45*r+0.4*g+0.15*b)+noise()/9, 0.5*(0.22*r+0.7*g+0.08*b)+noise()/9, 0.412*(0.02*r+0.1*g+0.88*b)+noise()/9)
	}
	curve3 := [][]byte{curvType(0, 20000, 65535), paraType(0, 1.3), srgbCurve}
	curve4 := append(curve3, curvType())
	matrix := []float64{0.9, 0.1, 0, 0.05, 0.9, 0.05, 0, 0.1, 0.9, 0.01, -0.01, 0.02}
	u := unitMatrix()
	return map[string][]byte{
		"lut8, RGB, Lab":           profile(2, "scnr", "RGB ", "Lab ", lutType{1, 3, 3, 9, 0, 0, u, bent, plain, lab}.bytes()),
		"lut8, RGB, XYZ":           profile(2, "mntr", "RGB ", "XYZ ", lutType{1, 3, 3, 7, 0, 0, u, plain, bent, xyz}.bytes()),
		"lut8, CMYK, Lab":          profile(2, "prtr", "CMYK", "Lab ", lutType{1, 4, 3, 5, 0, 0, u, bent, plain, lab}.bytes()),
		"lut16, RGB, Lab":          profile(2, "scnr", "RGB ", "Lab ", lutType{2, 3, 3, 6, 33, 2, u, bent, plain, lab}.bytes()),
		"lut16, RGB, Lab, 4":       profile(4, "scnr", "RGB ", "Lab ", lutType{2, 3, 3, 6, 2, 40, u, plain, bent, lab}.bytes()),
		"lut16, RGB, XYZ, matrix":  profile(2, "scnr", "RGB ", "XYZ ", lutType{2, 3, 3, 5, 300, 4096, [9]float64(matrix[:9]), bent, bent, xyz}.bytes()),
		"lut16, CMYK, Lab":         profile(4, "prtr", "CMYK", "Lab ", lutType{2, 4, 3, 4, 16, 16, u, bent, plain, lab}.bytes()),
		"lutAToB, RGB, uneven":     profile(4, "mntr", "RGB ", "Lab ", aToB{in: 3, a: curve3, width: 1, points: []int{3, 7, 4}, node: lab, m: curve3, matrix: matrix, b: curve3}.bytes()),
		"lutAToB, RGB, XYZ":        profile(4, "scnr", "RGB ", "XYZ ", aToB{in: 3, a: curve3, width: 2, points: []int{5, 5, 5}, node: xyz, b: [][]byte{curvType(), curvType(), curvType()}}.bytes()),
		"lutAToB, RGB, no grid":    profile(4, "mntr", "RGB ", "XYZ ", aToB{in: 3, m: curve3, matrix: []float64{0.2, 0.2, 0.1, 0.1, 0.35, 0.05, 0, 0.05, 0.35, 0, 0, 0}, b: [][]byte{curvType(), curvType(), curvType()}}.bytes()),
		"lutAToB, RGB, curves":     profile(4, "mntr", "RGB ", "Lab ", aToB{in: 3, b: curve3}.bytes()),
		"lutAToB, CMYK, Lab":       profile(4, "prtr", "CMYK", "Lab ", aToB{in: 4, a: curve4, width: 2, points: []int{3, 4, 5, 3}, node: lab, b: curve3}.bytes()),
		"matrix beside the tables": publishedSpaces()[1].writer().with("A2B0", lutType{2, 3, 3, 5, 2, 2, u, plain, plain, xyz}.bytes()).bytes(),
	}
}
