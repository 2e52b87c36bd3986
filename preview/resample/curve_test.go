package resample

import (
	"math"
	"testing"
)

// Values of the sRGB curve (IEC 61966-2-1) and of Adobe RGB (1998), whose power is
// 563/256, worked out from the definitions.
func TestCurves(t *testing.T) {
	for _, c := range []struct {
		curve *Curve
		light float32
		code  byte
	}{
		{SRGB(), 0.01, 25}, {SRGB(), 0.05, 63}, {SRGB(), 0.18, 118}, {SRGB(), 0.25, 137}, {SRGB(), 0.5, 188}, {SRGB(), 0.75, 225},
		{SRGB(), 0, 0}, {SRGB(), 1, 255}, {SRGB(), .00030353, 1}, {SRGB(), .00303527, 10}, {SRGB(), .00334654, 11}, {SRGB(), .05126946, 64},
		{SRGB(), .21223076, 127}, {SRGB(), .21586050, 128}, {SRGB(), .50288646, 188}, {SRGB(), -1, 0}, {SRGB(), 1.4, 255},
		{AdobeRGB(), 0.219638, 128}, {AdobeRGB(), 0, 0}, {AdobeRGB(), 1, 255},
	} {
		got := []byte{7}
		c.curve.Bytes(got, []float32{c.light})
		if got[0] != c.code {
			t.Errorf("%g becomes %d, not %d", c.light, got[0], c.code)
		}
	}
}

// Every code comes back from its light; between codes the curve is within a
// thousandth of one.
func TestCurveIsExact(t *testing.T) {
	adobe := func(code float64) float64 { return math.Pow(code/255, 563.0/256) }
	for name, c := range map[string]struct {
		curve *Curve
		light func(float64) float64
	}{"sRGB": {SRGB(), light}, "Adobe RGB": {AdobeRGB(), adobe}} {
		worst := 0.0
		for i := range 255*64 + 1 {
			code := float64(i) / 64
			var v [1]float32
			c.curve.Encode(v[:], []float32{float32(c.light(code))})
			if d := math.Abs(float64(v[0])*255 - code); code >= 1 {
				worst = max(worst, d)
			}
			if i%64 == 0 {
				var b [1]byte
				c.curve.Bytes(b[:], []float32{float32(c.light(code))})
				if float64(b[0]) != code {
					t.Errorf("%s: %g becomes %d", name, code, b[0])
				}
			}
		}
		if worst > 1e-3 {
			t.Errorf("%s: %g codes from the curve", name, worst)
		}
	}
}
