package finished

import (
	"encoding/binary"
	"math"
)

// This file makes a profile of a PNG's gamma and chromaticities, so that what comes
// after has one form of them: a matrix profile of version 2 (ICC.1:2010 §8.3.3)
// whose primaries were brought from the picture's white to D50 by the Bradford
// adaptation of ICC.1:2010 Annex E.

type matrix3 [3][3]float64

func (m matrix3) times(n matrix3) (out matrix3) {
	for r := range 3 {
		for c := range 3 {
			for k := range 3 {
				out[r][c] += m[r][k] * n[k][c]
			}
		}
	}
	return out
}

func (m matrix3) apply(v [3]float64) (out [3]float64) {
	for r, row := range m {
		out[r] = row[0]*v[0] + row[1]*v[1] + row[2]*v[2]
	}
	return out
}

func (m matrix3) inverse() (out matrix3, ok bool) {
	minor := func(r, c int) float64 {
		r1, r2, c1, c2 := (r+1)%3, (r+2)%3, (c+1)%3, (c+2)%3
		return m[r1][c1]*m[r2][c2] - m[r1][c2]*m[r2][c1]
	}
	det := m[0][0]*minor(0, 0) + m[0][1]*minor(0, 1) + m[0][2]*minor(0, 2)
	for r := range 3 {
		for c := range 3 {
			out[r][c] = minor(c, r) / det
		}
	}
	return out, math.Abs(det) > 1e-6
}

// bradford goes from XYZ to the responses that are scaled.
var bradford = matrix3{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}

// primaries are the columns of the matrix from linear RGB to XYZ of D50.
func (c *pngColours) primaries() (matrix3, bool) {
	var xyz [4][3]float64 // white, red, green, blue, with Y = 1
	for i := range xyz {
		x, y := float64(c.chroma[2*i])/1e5, float64(c.chroma[2*i+1])/1e5
		if y < 0.00001 || x > 1 || y > 1 {
			return matrix3{}, false
		}
		xyz[i] = [3]float64{x / y, 1, (1 - x - y) / y}
	}
	var m matrix3
	for r := range 3 {
		for k := range 3 {
			m[r][k] = xyz[k+1][r]
		}
	}
	inv, ok := m.inverse()
	if !ok {
		return m, false
	}
	share := inv.apply(xyz[0])
	from, to := bradford.apply(xyz[0]), bradford.apply([3]float64{0.9642, 1, 0.8249})
	var scale matrix3
	for i := range 3 {
		if from[i] < 1e-6 {
			return m, false
		}
		scale[i][i] = to[i] / from[i]
		for r := range 3 {
			m[r][i] *= share[i]
		}
	}
	back, _ := bradford.inverse()
	return back.times(scale).times(bradford).times(m), true
}

// makeProfile writes the profile.
func (c *pngColours) makeProfile() ([]byte, error) {
	m, ok := c.primaries()
	gamma := 1e5 / float64(c.gamma)
	if !ok || gamma < 0.1 || gamma > 10 {
		return nil, FormatError("cannot be made of gamma and chromaticities that no colours have")
	}
	const count, head = 9, 128 + 4 + 9*12
	b := make([]byte, head)
	tag := func(n int, name string, data []byte) {
		e := b[132+12*n:]
		copy(e, name)
		binary.BigEndian.PutUint32(e[4:], uint32(len(b)))
		binary.BigEndian.PutUint32(e[8:], uint32(len(data)))
		b = append(b, data...)
		for len(b)%4 != 0 {
			b = append(b, 0)
		}
	}
	fixed := func(v ...float64) []byte {
		out := []byte("XYZ \x00\x00\x00\x00")
		for _, f := range v {
			out = binary.BigEndian.AppendUint32(out, uint32(int32(math.Round(f*65536))))
		}
		return out
	}
	const name = "of the picture's gamma and chromaticities"
	desc := append([]byte("desc\x00\x00\x00\x00"), 0, 0, 0, byte(len(name)+1))
	desc = append(append(desc, name...), make([]byte, 1+8+2+1+67)...)
	curve := append([]byte("curv\x00\x00\x00\x00"), 0, 0, 0, 1)
	curve = binary.BigEndian.AppendUint16(curve, uint16(math.Round(gamma*256)))
	tag(0, "desc", desc)
	tag(1, "cprt", []byte("text\x00\x00\x00\x00none\x00"))
	tag(2, "wtpt", fixed(0.9642, 1, 0.8249))
	for i, c := range []string{"r", "g", "b"} {
		tag(3+i, c+"XYZ", fixed(m[0][i], m[1][i], m[2][i]))
		tag(6+i, c+"TRC", curve)
	}
	binary.BigEndian.PutUint32(b, uint32(len(b)))
	copy(b[8:], "\x02\x10\x00\x00mntrRGB XYZ ")
	copy(b[36:], "acsp")
	copy(b[68:], fixed(0.9642, 1, 0.8249)[8:])
	binary.BigEndian.PutUint32(b[128:], count)
	return b, nil
}
