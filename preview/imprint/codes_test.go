package imprint

import (
	"math"
	"math/rand/v2"
	"testing"

	"garner/preview/icc"
)

// The table is the rounded curve itself: at random light, at the light of each
// code, and on both sides of where the codes change.
func TestTableIsTheRoundedCurve(t *testing.T) {
	for _, s := range []icc.Space{icc.SpaceSRGB, icc.SpaceDisplayP3, icc.SpaceAdobeRGB} {
		tab := tableOf(s)
		check := func(v float32) {
			t.Helper()
			want := byte(math.Round(255 * s.Code(float64(v))))
			if got := tab.code(v); got != want {
				exact := 255 * s.Code(float64(v)) // equal halves may go either way in float64
				if math.Abs(exact-math.Floor(exact)-0.5) > 1e-9 {
					t.Fatalf("space %d: %v became %d, want %d (%v)", s, v, got, want, exact)
				}
			}
		}
		rng := rand.New(rand.NewPCG(6, 1))
		for range 60_000 {
			check(rng.Float32())
			check(float32(math.Exp(-14 * rng.Float64()))) // as many in the shadows
		}
		for c := range 256 {
			light := float32(s.Light(float64(c) / 255))
			if got := tab.code(light); int(got) != c {
				t.Fatalf("space %d: code %d comes back as %d", s, c, got)
			}
			at := math.Float32frombits(tab.from[c])
			for _, v := range []float32{at, math.Nextafter32(at, -1), math.Nextafter32(at, 2)} {
				check(v)
			}
		}
	}
}

func TestTableClips(t *testing.T) {
	inf := float32(math.Inf(1))
	for v, want := range map[float32]byte{-1: 0, -inf: 0, 0: 0, 1: 255, 1.0001: 255, 7: 255, inf: 255, math.SmallestNonzeroFloat32: 0,
		math.Nextafter32(1, 0): 255} {
		for _, s := range []icc.Space{icc.SpaceSRGB, icc.SpaceDisplayP3, icc.SpaceAdobeRGB} {
			if got := tableOf(s).code(v); got != want {
				t.Errorf("space %d: %v became %d, want %d", s, v, got, want)
			}
		}
	}
	if got := tableOf(icc.SpaceSRGB).code(float32(math.NaN())); got != 0 {
		t.Errorf("NaN became %d", got)
	}
}

// IEC 61966-2-1 and Adobe RGB (1998) worked out: the light of code values, and the
// codes of light.
func TestPublishedValues(t *testing.T) {
	for code, light := range map[int]float64{0: 0, 1: .00030353, 10: .00303527, 11: .00334654, 64: .05126946, 118: .18116424,
		127: .21223076, 128: .21586050, 186: .49102085, 188: .50288646, 255: 1} {
		if got := icc.SpaceSRGB.Light(float64(code) / 255); math.Abs(got-light) > 5e-9 {
			t.Errorf("sRGB %d is %.8f, want %.8f", code, got, light)
		}
	}
	for light, code := range map[float32]byte{.01: 25, .05: 63, .18: 118, .25: 137, .5: 188, .75: 225} {
		if got := tableOf(icc.SpaceSRGB).code(light); got != code {
			t.Errorf("light %v is %d, want %d", light, got, code)
		}
	}
	if got := icc.SpaceAdobeRGB.Light(128.0 / 255); math.Abs(got-0.219638) > 5e-7 {
		t.Errorf("Adobe RGB 128 is %.6f, want 0.219638", got)
	}
}

// Primaries of sRGB in the other spaces go back to what CHECKS of the spaces say:
// Display P3 red is (1.09307, -.22674, -.15013) in coded sRGB, so that sRGB red is
// inside P3, and Adobe RGB red has sRGB's own hue: (255,0,0) of sRGB is light
// 1/1.398283 of it.
func TestFromSRGB(t *testing.T) {
	m := fromSRGB(icc.SpaceAdobeRGB)
	// Adobe RGB (255,0,0) is linear sRGB (1.398283, 0, 0); green (-0.398283, 1, -0.042938).
	for want, v := range map[[3]float64][3]float64{{1, 0, 0}: {1.398283, 0, 0}, {0, 1, 0}: {-0.398283, 1, -0.042938}} {
		for r := range m {
			got := m[r][0]*v[0] + m[r][1]*v[1] + m[r][2]*v[2]
			if math.Abs(got-want[r]) > 2e-4 {
				t.Errorf("row %d: %v, want %v", r, got, want[r])
			}
		}
	}
	for _, s := range []icc.Space{icc.SpaceDisplayP3, icc.SpaceAdobeRGB} {
		m := fromSRGB(s)
		for r := range m {
			if sum := m[r][0] + m[r][1] + m[r][2]; math.Abs(sum-1) > 1e-9 {
				t.Errorf("space %d: white has %v", s, sum)
			}
		}
	}
}
