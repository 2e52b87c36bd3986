package icc

import "math"

// This file makes the profiles of published colour spaces, for pictures that say
// in their metadata what they are and carry no profile.

// xy is a chromaticity.
type xy struct{ x, y float64 }

func (c xy) xyz() [3]float64 { return [3]float64{c.x / c.y, 1, (1 - c.x - c.y) / c.y} }

// d65 is the white of the three spaces below.
var d65 = xy{0.3127, 0.3290}

// SRGB is the space of IEC 61966-2-1.
func SRGB() *Profile {
	p := &Profile{Description: "sRGB", Matrix: srgbPrimaries()}
	p.curves(decode)
	return p
}

func srgbPrimaries() Matrix { return primaries(xy{0.64, 0.33}, xy{0.30, 0.60}, xy{0.15, 0.06}) }

// AdobeRGB is the space of "Adobe RGB (1998) Color Image Encoding", version
// 2005-05, 4.3.1: gamma 2 51/256.
func AdobeRGB() *Profile {
	p := &Profile{Description: "Adobe RGB", Matrix: adobePrimaries()}
	p.curves(SpaceAdobeRGB.Light)
	return p
}

func adobePrimaries() Matrix { return primaries(xy{0.64, 0.33}, xy{0.21, 0.71}, xy{0.15, 0.06}) }

// DisplayP3 has the primaries of SMPTE EG 432-1, the white D65 and the curve of
// sRGB.
func DisplayP3() *Profile {
	p := &Profile{Description: "Display P3", Matrix: displayP3Primaries()}
	p.curves(decode)
	return p
}

func displayP3Primaries() Matrix {
	return primaries(xy{0.680, 0.320}, xy{0.265, 0.690}, xy{0.150, 0.060})
}

func (p *Profile) curves(f func(float64) float64) {
	fill(&p.Curves[0], f)
	p.Curves[1], p.Curves[2] = p.Curves[0], p.Curves[0]
}

// decode is the curve of sRGB (IEC 61966-2-1, 5.2).
func decode(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// encode is its inverse, for 0..1.
func encode(v float64) float64 {
	if v <= 0.0031308 {
		return v * 12.92
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// primaries returns the matrix of an RGB space with white D65, adapted to D50.
func primaries(r, g, b xy) Matrix {
	var m Matrix
	for i, p := range []xy{r, g, b} {
		v := p.xyz()
		for row := range m {
			m[row][i] = v[row]
		}
	}
	inv := m.inverse()
	share := inv.Times(d65.xyz())
	for row := range m {
		for i := range m[row] {
			m[row][i] *= share[i]
		}
	}
	return adapt(m)
}

// adapt brings a matrix of white D65 to D50 by the linear Bradford transform
// (ICC.1:2022 Annex E).
func adapt(m Matrix) Matrix {
	bradford := Matrix{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}
	from, to := bradford.Times(d65.xyz()), bradford.Times(d50())
	scaled := bradford
	for r := range scaled {
		for c := range scaled[r] {
			scaled[r][c] *= to[r] / from[r]
		}
	}
	back := bradford.inverse()
	whole := back.after(&scaled)
	return whole.after(&m)
}
