package finished

import (
	"encoding/binary"
	"math"
)

// This file makes a profile of a PNG's gamma and chromaticities, so that what comes
// after has one form of them: a matrix profile of version 2 (ICC.1:2010 §8.3.3)
// whose primaries were brought from the picture's white to D50 by the Bradford
// adaptation of ICC.1:2010 Annex E; of grey, one curve (§8.3.4). Where there is a gamma
// alone, the primaries are those of BT.709, as readers take it in common practice.

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

// bt709 are white and primaries of ITU-R BT.709, in the order of cHRM.
var bt709 = [8]uint32{31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000}

// primaries are the columns of the matrix from linear RGB to XYZ of D50.
func (c *pngColours) primaries() (matrix3, bool) {
	var xyz [4][3]float64 // white, red, green, blue, with Y = 1
	chroma := c.chroma
	if chroma == nil {
		chroma = bt709[:]
	}
	for i := range xyz {
		x, y := float64(chroma[2*i])/1e5, float64(chroma[2*i+1])/1e5
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

// makeProfile writes the profile for pictures of grey or of RGB.
func (c *pngColours) makeProfile(of Model) ([]byte, error) {
	gamma := 1e5 / float64(c.gamma)
	m, ok := c.primaries()
	if !ok && of != Grey || gamma < 0.1 || gamma > 10 {
		return nil, FormatError("cannot be made of gamma and chromaticities that no colours have")
	}
	const name = "of the picture's gamma and chromaticities"
	desc := append([]byte("desc\x00\x00\x00\x00"), 0, 0, 0, byte(len(name)+1))
	desc = append(append(desc, name...), make([]byte, 1+8+2+1+67)...)
	curve := append([]byte("curv\x00\x00\x00\x00"), 0, 0, 0, 1)
	curve = binary.BigEndian.AppendUint16(curve, uint16(math.Round(gamma*256)))
	tags := []profileTag{{"desc", desc}, {"cprt", []byte("text\x00\x00\x00\x00none\x00")}, {"wtpt", xyzTag(0.9642, 1, 0.8249)}}
	if of == Grey {
		return layProfile("GRAY", append(tags, profileTag{"kTRC", curve})), nil
	}
	for i, c := range []string{"r", "g", "b"} {
		tags = append(tags, profileTag{c + "XYZ", xyzTag(m[0][i], m[1][i], m[2][i])}, profileTag{c + "TRC", curve})
	}
	return layProfile("RGB ", tags), nil
}

type profileTag struct {
	name string
	data []byte
}

func xyzTag(v ...float64) []byte {
	out := []byte("XYZ \x00\x00\x00\x00")
	for _, f := range v {
		out = binary.BigEndian.AppendUint32(out, uint32(int32(math.Round(f*65536))))
	}
	return out
}

// layProfile puts header, table and tags together.
func layProfile(space string, tags []profileTag) []byte {
	b := make([]byte, 128+4+12*len(tags))
	for n, t := range tags {
		e := b[132+12*n:]
		copy(e, t.name)
		binary.BigEndian.PutUint32(e[4:], uint32(len(b)))
		binary.BigEndian.PutUint32(e[8:], uint32(len(t.data)))
		b = append(b, t.data...)
		for len(b)%4 != 0 {
			b = append(b, 0)
		}
	}
	binary.BigEndian.PutUint32(b, uint32(len(b)))
	copy(b[8:], "\x02\x10\x00\x00mntr"+space+"XYZ ")
	copy(b[36:], "acsp")
	copy(b[68:], xyzTag(0.9642, 1, 0.8249)[8:])
	binary.BigEndian.PutUint32(b[128:], uint32(len(tags)))
	return b
}
