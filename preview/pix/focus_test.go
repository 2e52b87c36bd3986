package pix

import (
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"garner/preview/jpeg"
)

// at repeats the outermost samples.
func (p plane) at(x, y int) float64 {
	return p.v[min(max(y, 0), p.h-1)*p.w+min(max(x, 0), p.w-1)]
}

func focusOf(p plane, deviation float64, seed uint64) Focus {
	return FocusOf(p.image(even(deviation), rand.New(rand.NewPCG(seed, 1))), image.Rect(0, 0, p.w, p.h))
}

// stripes are edges of a height, apart pixels from each other, in a direction in
// degrees, which a Gaussian of deviation sigma has blurred (by the error function).
func stripes(edge int, apart, sigma, degrees, height float64) plane {
	c, s := math.Cos(degrees*math.Pi/180), math.Sin(degrees*math.Pi/180)
	return planeOf(edge, edge, func(x, y int) float64 {
		d := math.Mod((float64(x)-79.3)*c+(float64(y)-80.1)*s+1000*apart, 2*apart)
		// From one rising edge at 0 over a falling one to the next.
		v := math.Erf(d/sigma/math.Sqrt2) - math.Erf((d-apart)/sigma/math.Sqrt2) + math.Erf((d-2*apart)/sigma/math.Sqrt2)
		return 120 + height/2*v
	})
}

// An edge blurred by a known Gaussian is found to be so blurred, in whatever direction it
// runs, whatever the contrast and with noise: the blur in pixels is what its name says.
func TestBlurOfIdealEdges(t *testing.T) {
	for _, sigma := range []float64{0.5, 0.8, 1.1, 1.6, 2.1, 2.3, 3.3} {
		line := ""
		for _, degrees := range []float64{0, 10, 22, 30, 45, 60, 80, 90} {
			for _, c := range []struct{ height, noise float64 }{{120, 0}, {40, 0}, {120, 4}} {
				f := focusOf(stripes(160, 40, sigma, degrees, c.height), c.noise, 1)
				allowed := 0.1 + 0.085*sigma
				if sigma > 3 {
					allowed += 0.2
				}
				if math.Abs(f.Blur-sigma) > allowed {
					t.Errorf("blur %.1f, %v degrees, %v high, noise %v: %.2f", sigma, degrees, c.height, c.noise, f.Blur)
				}
				if c.noise == 0 && c.height == 120 {
					line += fmt.Sprintf(" %5.2f", f.Blur)
				}
			}
		}
		t.Logf("blur %.1f:%s", sigma, line)
	}
}

// Energy of a picture of which every gradient is known: waves along x, of which the
// binomial leaves cos⁴(w/2), and the central difference is sin(w) times the height.
func TestEnergyOfWaves(t *testing.T) {
	const period, height = 16, 40
	w := 2 * math.Pi / period
	p := planeOf(160, 160, func(x, y int) float64 {
		if y >= 96 { // a calm part, as there is one everywhere
			return 120
		}
		return 120 + height*math.Sin(w*float64(x))
	})
	slope := height * math.Pow(math.Cos(w/2), 4) * math.Sin(w)
	want := slope * slope / 2 * 0.6 / (128 * 128)
	if f := focusOf(p, 0, 1); math.Abs(f.Energy-want) > 0.03*want {
		t.Errorf("energy %v, want %v", f.Energy, want)
	}
}

// What the measures are defined by: a flat part has nothing, blur lowers energy and
// raises edges, contrast and exposure leave edges alone, and exposure, which multiplies
// all, leaves energy nearly alone.
func TestFocusProperties(t *testing.T) {
	flat := planeOf(160, 160, func(x, y int) float64 { return 90 })
	if f := focusOf(flat, 0, 1); f != (Focus{Pixels: 160}) {
		t.Errorf("flat: %+v", f)
	}
	for _, noise := range []float64{2, 6, 12} {
		f := focusOf(flat, noise, 1)
		if f.Edge != 0 || f.Blur != 0 || f.Energy > 1e-4 || math.Abs(f.Noise-noise) > 0.08*noise+0.1 {
			t.Errorf("noise of %v alone: %+v", noise, f)
		}
	}
	sharp := texture(4, 160, 160, 120, 20)
	last := focusOf(sharp, 0, 1)
	for _, sigma := range []float64{0.7, 1.1, 1.6, 2.3, 3.3, 5} {
		f := focusOf(sharp.blurred(sigma), 0, 1)
		if f.Energy >= last.Energy || f.Edge <= last.Edge || f.Blur <= last.Blur {
			t.Errorf("blur %v: %+v after %+v", sigma, f, last)
		}
		last = f
	}
	p := stripes(160, 32, 1.5, 17, 60)
	first := focusOf(p, 0, 1)
	for _, gain := range []float64{0.5, 0.8, 1.3} {
		q := planeOf(160, 160, func(x, y int) float64 { return p.at(x, y) * gain })
		f := focusOf(q, 0, 1)
		if math.Abs(f.Edge-first.Edge) > 0.05 || math.Abs(f.Blur-first.Blur) > 0.05 || math.Abs(math.Log(f.Energy/first.Energy)) > 0.15 {
			t.Errorf("exposed %v times: %+v, before %+v", gain, f, first)
		}
	}
}

// Turned upright, a part measures what it measured: motion blur that ran across runs
// down, and is as strong.
func TestFocusOfEightOrientations(t *testing.T) {
	p := texture(9, 176, 144, 120, 120).blurred(2)
	p = planeOf(p.w, p.h, func(x, y int) float64 { // blurred across alone, with a calm part
		if y >= 80 && x < 96 {
			return 120
		}
		sum := 0.0
		for i := -4; i <= 4; i++ {
			sum += p.at(x+i, y)
		}
		return sum / 9
	})
	m := p.image(even(1), rand.New(rand.NewPCG(1, 1)))
	want := FocusOf(m, image.Rect(0, 0, m.Width, m.Height))
	for o := 2; o <= 8; o++ {
		up := Orient(m, o)
		f := FocusOf(up, image.Rect(0, 0, up.Width, up.Height))
		near := func(a, b float64) bool { return math.Abs(a-b) < 0.1*b }
		if !near(f.Energy, want.Energy) || !near(f.Edge, want.Edge) || !near(f.Blur, want.Blur) || f.Pixels != 144 {
			t.Errorf("orientation %d: %+v, want %+v", o, f, want)
		}
	}
	if want.Blur <= want.Edge {
		t.Errorf("motion in one direction: %+v", want)
	}
}

// What lies outside of the part does not count, nor what is left in buffers; what is too
// small, missing or no picture gives nothing.
func TestFocusOfParts(t *testing.T) {
	p := texture(5, 300, 200, 110, 25)
	m := p.image(even(1), rand.New(rand.NewPCG(2, 1)))
	r := image.Rect(31, 17, 31+90, 17+70)
	part := Cut(m, r, 1)
	alone := FocusOf(part, image.Rect(0, 0, 90, 70))
	FocusOf(texture(6, 200, 200, 90, 40).image(even(9), rand.New(rand.NewPCG(3, 1))), image.Rect(0, 0, 200, 200))
	if f := FocusOf(m, r); f != alone || f.Pixels != 70 {
		t.Errorf("%+v, alone %+v", f, alone)
	}
	m.Truncated, m.Rows = true, 17+50
	if f := FocusOf(m, r); f.Pixels != 50 {
		t.Errorf("20 rows are missing: %+v", f)
	}
	m.Rows = 20
	for name, f := range map[string]Focus{
		"missing rows":   FocusOf(m, r),
		"outside":        FocusOf(part, image.Rect(500, 0, 600, 100)),
		"too small":      FocusOf(part, image.Rect(0, 0, 90, leastFocus-1)),
		"no picture":     FocusOf(nil, r),
		"not valid":      FocusOf(&jpeg.Image{Width: 100, Height: 100}, r),
		"nothing wanted": FocusOf(part, image.Rectangle{}),
	} {
		if f != (Focus{}) {
			t.Errorf("%s: %+v", name, f)
		}
	}
	if f := FocusOf(part, image.Rect(0, 0, leastFocus, leastFocus)); f.Pixels != leastFocus {
		t.Errorf("the smallest part: %+v", f)
	}
}

// No figure is not a number, whatever the picture.
func FuzzFocusOf(f *testing.F) {
	f.Add([]byte{0, 255, 3, 128}, uint8(40), uint8(30))
	f.Add([]byte("some bytes that repeat"), uint8(24), uint8(99))
	f.Fuzz(func(t *testing.T, src []byte, w, h uint8) {
		if w, h = w%64, h%64; len(src) == 0 || w == 0 || h == 0 { // a few blocks are enough
			return
		}
		m := &jpeg.Image{}
		m.Reset(int(w), int(h), 1, 1, true)
		for i := range m.Y {
			m.Y[i] = src[i%len(src)]
		}
		r := FocusOf(m, image.Rect(0, 0, int(w), int(h)))
		for _, v := range []float64{r.Energy, r.Edge, r.Blur, r.Noise} {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 || v > 255 {
				t.Fatalf("%+v", r)
			}
		}
		if (r.Pixels > 0) != (min(w, h) >= leastFocus) {
			t.Fatalf("%dx%d: %+v", w, h, r)
		}
	})
}

func BenchmarkFocusOf(b *testing.B) {
	for _, edge := range []int{160, 256, 320} {
		m := texture(1, edge, edge, 120, 30).image(even(3), rand.New(rand.NewPCG(1, 1)))
		b.Run(fmt.Sprint(edge), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				FocusOf(m, image.Rect(0, 0, edge, edge))
			}
		})
	}
}

// Patterns as fine as woven cloth lie over edges: none makes those look soft, as a coarse
// smoothing that turns a pattern into its negative would.
func TestFocusOfPatterns(t *testing.T) {
	for _, period := range []float64{3, 3.5, 4, 4.5, 5, 5.5} {
		edges := stripes(160, 40, 0.8, 15, 60)
		p := planeOf(160, 160, func(x, y int) float64 { return edges.at(x, y) + 30*math.Sin(2*math.Pi*float64(x)/period) })
		if f := focusOf(p, 1, 1); f.Edge > 2 || f.Blur > 1.2 || f.Edge <= 0 || f.Blur <= 0 {
			t.Errorf("period %v: %+v", period, f)
		}
	}
}
