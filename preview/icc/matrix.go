package icc

import "math"

// Matrix is three rows of three.
type Matrix [3][3]float64

// d50 is the white of the profile connection space (ICC.1:2022 clause 6.3.4.2).
func d50() [3]float64 { return [3]float64{0.9642, 1, 0.8249} }

// Times returns m applied to v.
func (m *Matrix) Times(v [3]float64) [3]float64 {
	var out [3]float64
	for r, row := range m {
		out[r] = row[0]*v[0] + row[1]*v[1] + row[2]*v[2]
	}
	return out
}

// after returns the matrix that applies n first and then m.
func (m *Matrix) after(n *Matrix) Matrix {
	var out Matrix
	for r := range out {
		for c := range out[r] {
			for k := range 3 {
				out[r][c] += m[r][k] * n[k][c]
			}
		}
	}
	return out
}

// inverse is the matrix's inverse by cofactors; zero if there is none.
func (m *Matrix) inverse() Matrix {
	minor := func(r, c int) float64 {
		r1, r2, c1, c2 := (r+1)%3, (r+2)%3, (c+1)%3, (c+2)%3
		return m[r1][c1]*m[r2][c2] - m[r1][c2]*m[r2][c1]
	}
	det := m[0][0]*minor(0, 0) + m[0][1]*minor(0, 1) + m[0][2]*minor(0, 2)
	var out Matrix
	if det == 0 {
		return out
	}
	for r := range out {
		for c := range out[r] {
			out[r][c] = minor(c, r) / det
		}
	}
	return out
}

// whiteTolerance is how far the sum of the primaries may lie from D50. Profiles
// round to four digits; some old ones took another white.
const whiteTolerance = 0.02

// maxGain is how much light of an sRGB primary a colour may ask for, in either
// direction, 1 being white's.
const maxGain = 7

// settle checks that equal red, green and blue give the white that the connection
// space has, and makes that exact, so that grey stays grey.
func (m *Matrix) settle() error {
	white, sum := d50(), m.Times([3]float64{1, 1, 1})
	for r := range m {
		if math.Abs(sum[r]-white[r]) > whiteTolerance {
			return UnsupportedError("white is not the D50 of the connection space")
		}
		for c := range m[r] {
			m[r][c] *= white[r] / sum[r]
		}
	}
	p := Profile{Matrix: *m}
	for _, row := range p.ToSRGB() {
		// The widest of working spaces stays below 4.
		if sum := math.Abs(row[0]) + math.Abs(row[1]) + math.Abs(row[2]); !(sum < maxGain) {
			return UnsupportedError("primaries far outside of all colours")
		}
	}
	return nil
}
