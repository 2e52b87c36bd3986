package icc

import (
	"math"
	"strings"
)

// Space is one of the RGB spaces that finished pictures are written in.
type Space uint8

// The spaces, with the published numbers of SRGB, DisplayP3 and AdobeRGB.
const (
	SpaceSRGB Space = iota
	SpaceDisplayP3
	SpaceAdobeRGB
)

// String returns the name that people know the space by.
func (s Space) String() string {
	switch s {
	case SpaceDisplayP3:
		return "Display P3"
	case SpaceAdobeRGB:
		return "Adobe RGB"
	}
	return "sRGB"
}

// SpaceNamed returns the space of that name, in letters of any case, with spaces or
// without.
func SpaceNamed(name string) (Space, bool) {
	plain := func(s string) string { return strings.ToLower(strings.ReplaceAll(s, " ", "")) }
	for s := SpaceSRGB; s <= SpaceAdobeRGB; s++ {
		if plain(name) == plain(s.String()) {
			return s, true
		}
	}
	return 0, false
}

const adobeGamma = 563.0 / 256

// Light returns the linear light of a code, both 0 to 1.
func (s Space) Light(code float64) float64 {
	if s == SpaceAdobeRGB {
		return math.Pow(clip(code), adobeGamma)
	}
	return decode(clip(code))
}

// Code returns the code of linear light, both 0 to 1; what lies outside is clipped.
func (s Space) Code(light float64) float64 {
	if s == SpaceAdobeRGB {
		return math.Pow(clip(light), 1/adobeGamma)
	}
	return encode(clip(light))
}

// matrix takes the space's linear light to XYZ relative to D50.
func (s Space) matrix() Matrix {
	switch s {
	case SpaceDisplayP3:
		return displayP3Primaries()
	case SpaceAdobeRGB:
		return adobePrimaries()
	}
	return srgbPrimaries()
}
