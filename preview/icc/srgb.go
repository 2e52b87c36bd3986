package icc

import "math"

// ToSRGB returns the matrix from the profile's linear red, green and blue to those
// of sRGB. Its rows add up to one. Results below 0 and above 1 are colours that
// sRGB does not have.
func (p *Profile) ToSRGB() Matrix {
	s := srgbPrimaries()
	inv := s.inverse()
	m := inv.after(&p.Matrix)
	for r := range m {
		sum := m[r][0] + m[r][1] + m[r][2]
		for c := range m[r] {
			m[r][c] /= sum
		}
	}
	return m
}

// SRGBThresholds returns the linear light from which on each code value of sRGB is
// the nearest; the first is 0.
func SRGBThresholds() [256]float64 {
	var t [256]float64
	for i := 1; i < len(t); i++ {
		t[i] = decode((float64(i) - 0.5) / 255)
	}
	return t
}

// Convert returns the sRGB of one colour, clipped to what sRGB has.
func (p *Profile) Convert(rgb [3]uint8) [3]uint8 {
	m := p.ToSRGB()
	var lin [3]float64
	for i, v := range rgb {
		lin[i] = p.Curves[i][v]
	}
	var out [3]uint8
	for i, v := range m.Times(lin) {
		out[i] = uint8(math.Round(255 * encode(min(max(v, 0), 1))))
	}
	return out
}

// What a profile may differ from sRGB and still count as it: a matrix rounded to
// four digits and a curve of a thousand samples stay below.
const (
	matrixTolerance = 0.002
	curveTolerance  = 0.75 // code values
)

// IsSRGB reports whether the profile says what sRGB says, so that there is nothing
// to convert.
func (p *Profile) IsSRGB() bool {
	for r, row := range p.ToSRGB() {
		for c, v := range row {
			if r == c {
				v--
			}
			if math.Abs(v) > matrixTolerance {
				return false
			}
		}
	}
	for _, c := range p.Curves {
		for i, v := range c {
			if math.Abs(255*encode(v)-float64(i)) > curveTolerance {
				return false
			}
		}
	}
	return true
}
