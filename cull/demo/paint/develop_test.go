package paint

import (
	"image"
	"image/color"
	"math"
	"testing"
)

func TestCurveRisesAndEnds(t *testing.T) {
	c := newCurve()
	for i := 1; i < len(c); i++ {
		if c[i] < c[i-1] {
			t.Fatalf("the curve falls at %d", i)
		}
	}
	if c.at(0) != 0 || c.at(-1) != 0 || c.at(1e9) != 255*256 {
		t.Errorf("black is %d, white is %d", c.at(0), c.at(1e9))
	}
	// A grey card should come out as a middle grey.
	if v := c.at(0.18) / 256; v < 100 || v > 150 {
		t.Errorf("18 %% grey is code %d", v)
	}
}

// corners has another light in each quarter, so that turning shows.
func corners(w, h int) *Canvas {
	c := New(w, h)
	for y := range h {
		for x := range w {
			v := []float32{0.02, 0.1, 0.3, 0.8}[y*2/h*2+x*2/w]
			copy(c.Pix[3*(y*w+x):], []float32{v, v, v})
		}
	}
	return c
}

// quarters reads the luma in the middle of the four quarters.
func quarters(img *image.YCbCr) [4]uint8 {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	var q [4]uint8
	for i := range q {
		q[i] = img.YCbCrAt(w/4+w/2*(i%2), h/4+h/2*(i/2)).Y
	}
	return q
}

// Exif tag 274: orientation 6 is displayed by turning 90° clockwise, so the
// stored top left is the upright top right; 8 is the other way round.
func TestOrientationIsStoredUnrotated(t *testing.T) {
	d := NewDeveloper()
	upright := quarters(second(d.Develop(corners(100, 100), Development{Exposure: 1, Turn: 1}, 100, 100)))
	cases := []struct {
		turn int
		want [4]int // which upright quarter lies at top left, top right, bottom left, bottom right
	}{{1, [4]int{0, 1, 2, 3}}, {6, [4]int{1, 3, 0, 2}}, {8, [4]int{2, 0, 3, 1}}}
	for _, c := range cases {
		got := quarters(second(d.Develop(corners(100, 100), Development{Exposure: 1, Turn: c.turn}, 100, 100)))
		for i, k := range c.want {
			if d := int(got[i]) - int(upright[k]); d < -3 || d > 3 {
				t.Errorf("orientation %d: quarter %d is %d, want %d", c.turn, i, got[i], upright[k])
			}
		}
	}
	screen, full := d.Develop(corners(80, 120), Development{Exposure: 1, Turn: 8}, 240, 160)
	if screen.Bounds() != image.Rect(0, 0, 120, 80) || full.Bounds() != image.Rect(0, 0, 240, 160) {
		t.Errorf("a portrait is stored as %v and %v, want landscape", screen.Bounds(), full.Bounds())
	}
}

func second(_, b *image.YCbCr) *image.YCbCr { return b }

func flat(v RGB) *Canvas {
	c := New(96, 64)
	c.Backdrop(Stop{0, v})
	return c
}

func mean(img *image.YCbCr) (m, deviation float64) {
	var s, q float64
	for _, v := range img.Y {
		s, q = s+float64(v), q+float64(v)*float64(v)
	}
	n := float64(len(img.Y))
	return s / n, math.Sqrt(max(q/n-s*s/n/n, 0))
}

func TestExposureAndClipping(t *testing.T) {
	d := NewDeveloper()
	last := -1.0
	for _, ev := range []float64{-4, -2, 0, 2, 6} {
		m, _ := mean(second(d.Develop(flat(RGB{0.18, 0.18, 0.18}), Development{Exposure: float32(math.Exp2(ev)), Turn: 1}, 96, 64)))
		if m <= last {
			t.Errorf("%+g EV gives %g, not brighter than %g", ev, m, last)
		}
		last = m
	}
	if last < 250 {
		t.Errorf("six stops over do not clip: %g", last)
	}
}

func TestGrainGrowsAndKeepsTheMean(t *testing.T) {
	d := NewDeveloper()
	m0, s0 := mean(second(d.Develop(flat(RGB{0.18, 0.18, 0.18}), Development{Exposure: 1, Turn: 1}, 192, 128)))
	m1, s1 := mean(second(d.Develop(flat(RGB{0.18, 0.18, 0.18}), Development{Exposure: 1, Turn: 1, Grain: 5, Seed: 3}, 192, 128)))
	// The vignette is in both, so the grain is what the variances differ by.
	if g := math.Sqrt(max(s1*s1-s0*s0, 0)); g < 2.5 || g > 7.5 {
		t.Errorf("grain of 5 shows as a deviation of %g", g)
	}
	near(t, "mean with grain", m1, m0, 1)
	a := second(d.Develop(flat(RGB{0.18, 0.18, 0.18}), Development{Exposure: 1, Turn: 1, Grain: 5, Seed: 3}, 192, 128))
	b := second(d.Develop(flat(RGB{0.18, 0.18, 0.18}), Development{Exposure: 1, Turn: 1, Grain: 5, Seed: 4}, 192, 128))
	if string(a.Y) == string(b.Y) {
		t.Error("two seeds give the same grain")
	}
}

// ITU-T T.871 §7 by way of image/color: developed colours must come back as the
// colours of the curve.
func TestColoursFollowJFIF(t *testing.T) {
	d := NewDeveloper()
	for _, v := range []RGB{{0.8, 0.05, 0.05}, {0.05, 0.6, 0.1}, {0.05, 0.1, 0.9}, {0.5, 0.4, 0.1}, {0.3, 0.3, 0.3}} {
		img := second(d.Develop(flat(v), Development{Exposure: 1, Turn: 1}, 96, 64))
		got := img.YCbCrAt(48, 32)
		r, g, b := uint8(d.curve.at(v[0])>>8), uint8(d.curve.at(v[1])>>8), uint8(d.curve.at(v[2])>>8)
		y, cb, cr := color.RGBToYCbCr(r, g, b)
		for _, p := range [][2]uint8{{got.Y, y}, {got.Cb, cb}, {got.Cr, cr}} {
			if diff := int(p[0]) - int(p[1]); diff < -2 || diff > 2 {
				t.Errorf("light %v: developed as %v, want %d %d %d", v, got, y, cb, cr)
			}
		}
	}
}

func TestWarmth(t *testing.T) {
	d := NewDeveloper()
	cold := second(d.Develop(flat(RGB{0.3, 0.3, 0.3}), Development{Exposure: 1, Turn: 1, Warmth: -0.2}, 96, 64)).YCbCrAt(48, 32)
	warm := second(d.Develop(flat(RGB{0.3, 0.3, 0.3}), Development{Exposure: 1, Turn: 1, Warmth: 0.2}, 96, 64)).YCbCrAt(48, 32)
	if warm.Cr <= cold.Cr || warm.Cb >= cold.Cb {
		t.Errorf("warm is %v, cold is %v", warm, cold)
	}
}
