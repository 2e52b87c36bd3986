package resample

import (
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func sharpen(t testing.TB, p picture, u Unsharp) picture {
	t.Helper()
	out := picture{w: p.w, h: p.h}
	s, err := NewSharpener(p.w, p.h, u, out.gather(t))
	if err != nil {
		t.Fatal(err)
	}
	for y := range p.h {
		if err := s.Push(p.row(y)); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return out
}

// The definition: out = in + amount (in - blur(in)) where the difference reaches the
// threshold, with a Gaussian of three deviations in two dimensions, in float64. Beyond
// its edges the picture goes on as they are.
func TestSharpenAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 8))
	for _, size := range []image.Point{{1, 1}, {2, 9}, {31, 3}, {40, 30}} {
		p := newPicture(size.X, size.Y, func(x, y, c int) float64 { return r.Float64() })
		for _, u := range []Unsharp{{0.6, 1, 0}, {1.4, 0.5, 12}, {3, 2.5, 30}} {
			got := sharpen(t, p, u)
			reach := int(math.Ceil(3 * u.Radius))
			luma := func(x, y int) float64 {
				v := p.row(min(max(y, 0), p.h-1))[min(max(x, 0), p.w-1)*channels:]
				return 0.299*float64(v[0]) + 0.587*float64(v[1]) + 0.114*float64(v[2])
			}
			for y := range p.h {
				for x := range p.w {
					sum, weights := 0.0, 0.0
					for dy := -reach; dy <= reach; dy++ {
						for dx := -reach; dx <= reach; dx++ {
							w := math.Exp(-float64(dx*dx+dy*dy) / (2 * u.Radius * u.Radius))
							sum, weights = sum+w*luma(x+dx, y+dy), weights+w
						}
					}
					d := luma(x, y) - sum/weights
					if math.Abs(math.Abs(d)-u.Threshold/255) < 1e-6 {
						continue // rounding decides
					}
					if math.Abs(d) < u.Threshold/255 {
						d = 0
					}
					for c := range channels {
						want := float64(p.row(y)[x*channels+c]) + u.Amount*d
						if v := float64(got.row(y)[x*channels+c]); math.Abs(v-want) > 1e-5 {
							t.Fatalf("%v, %+v: %d, %d is %g, not %g", size, u, x, y, v, want)
						}
					}
				}
			}
		}
	}
}

// With the amount 0, or no radius, rows pass through as they are.
func TestSharpenIdentity(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 8))
	p := newPicture(50, 20, func(x, y, c int) float64 { return 2*r.Float64() - 0.5 })
	for _, u := range []Unsharp{{}, {Radius: 1}, {Amount: 1}, {Radius: 1, Threshold: 5}} {
		if got := sharpen(t, p, u); !slices.Equal(got.v, p.v) {
			t.Errorf("%+v changes pictures", u)
		}
	}
}

// A flat picture keeps every code.
func TestSharpenFlat(t *testing.T) {
	for code := range 256 {
		p := newPicture(17, 9, func(x, y, c int) float64 { return float64(code) / 255 })
		got := make([]byte, len(p.v))
		Quantise(got, sharpen(t, p, Unsharp{Radius: 1.1, Amount: 5}).v)
		for _, v := range got {
			if v != byte(code) {
				t.Fatalf("%d becomes %d", code, v)
			}
		}
	}
}

// An edge is overshot above by what it is undershot below, before anything is
// clipped, and no pixel gets a colour.
func TestSharpenEdge(t *testing.T) {
	for name, at := range map[string]func(x, y int) bool{"upright": func(x, y int) bool { return x >= 20 }, "level": func(x, y int) bool { return y >= 20 }} {
		p := newPicture(40, 40, func(x, y, c int) float64 {
			if at(x, y) {
				return 1
			}
			return 0
		})
		got := sharpen(t, p, Unsharp{Radius: 1.5, Amount: 1.2})
		over := 0.0
		for y := range 40 {
			for x := range 40 {
				v := got.row(y)[x*channels:]
				mirror := got.row(39 - y)[(39-x)*channels]
				if v[0] != v[1] || v[0] != v[2] || math.Abs(float64(v[0])+float64(mirror)-1) > 1e-6 {
					t.Fatalf("%s edge: %v at %d, %d and %g opposite", name, v[:3], x, y, mirror)
				}
				over = max(over, float64(v[0])-1)
			}
		}
		// Half of the middle weight is missing at the first pixel of an edge.
		if over < 0.3 || over > 0.6 {
			t.Errorf("%s edge: overshot by %g", name, over)
		}
	}
}

func TestSharpenErrors(t *testing.T) {
	nothing := func(int, []float32) error { return nil }
	nan := math.NaN()
	for _, u := range []Unsharp{{-1, 1, 0}, {MaxRadius + 1, 1, 0}, {1, -1, 0}, {1, MaxAmount + 1, 0}, {1, 1, -1}, {nan, 1, 0}, {1, nan, 0}, {1, 1, nan}} {
		if _, err := NewSharpener(5, 5, u, nothing); err == nil {
			t.Errorf("%+v: no error", u)
		}
	}
	if _, err := NewSharpener(0, 5, Unsharp{}, nothing); err == nil {
		t.Error("no columns")
	}
	for _, u := range []Unsharp{{}, {1, 1, 0}} {
		s, _ := NewSharpener(5, 2, u, nothing)
		if s.Push(make([]float32, 15)) != nil || s.Close() != ErrRows {
			t.Errorf("%+v: a row is missing", u)
		}
		s, _ = NewSharpener(5, 1, u, nothing)
		if s.Push(make([]float32, 15)) != nil || s.Close() != nil || s.Push(make([]float32, 15)) != ErrRows {
			t.Errorf("%+v: a row too many", u)
		}
		s, _ = NewSharpener(5, 1, u, nothing)
		if s.Push(make([]float32, 14)) == nil {
			t.Errorf("%+v: a row too short", u)
		}
	}
}
