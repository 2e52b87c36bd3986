package resample

import (
	"math"
	"sync"

	"garner/preview/resample/internal/lanes"
)

// Curve takes linear light to the encoded values of a space. It is drawn in 2,048
// straight pieces, which for the curves below is within a thousandth of an 8-bit code
// of the function from code 1 on.
type Curve struct{ c *lanes.Curve }

// NewCurve is the curve of a function that rises from 0 to 1 between 0 and 1.
func NewCurve(encode func(light float64) float64) *Curve { return &Curve{lanes.NewCurve(encode)} }

// SRGB is the curve of IEC 61966-2-1, which Display P3 has too.
func SRGB() *Curve { return srgb() }

// AdobeRGB is the curve of Adobe RGB (1998): the power 256/563.
func AdobeRGB() *Curve { return adobeRGB() }

var srgb = sync.OnceValue(func() *Curve {
	return NewCurve(func(v float64) float64 {
		if v <= 0.0031308 {
			return 12.92 * v
		}
		return 1.055*math.Pow(v, 1/2.4) - 0.055
	})
})

var adobeRGB = sync.OnceValue(func() *Curve {
	return NewCurve(func(v float64) float64 { return math.Pow(v, 256.0/563) })
})

// Encode writes the encoded values of light to dst, which is as long or longer and
// may be the same. What lies outside of 0..1 is clipped.
func (c *Curve) Encode(dst, light []float32) { c.c.Apply(dst, light) }

// Bytes writes the nearest 8-bit codes of light to dst.
func (c *Curve) Bytes(dst []byte, light []float32) {
	var part [512]float32
	for len(light) > 0 {
		n := min(len(light), len(part))
		c.c.Apply(part[:n], light[:n])
		lanes.Quantise(dst, part[:n])
		dst, light = dst[n:], light[n:]
	}
}

// Quantise writes encoded values as 8-bit codes to dst. What lies outside of 0..1 is
// clipped.
func Quantise(dst []byte, encoded []float32) { lanes.Quantise(dst, encoded) }
