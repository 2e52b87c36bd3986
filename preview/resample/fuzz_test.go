package resample

import (
	"image"
	"math/rand/v2"
	"testing"
)

// FuzzSizes asks for any size of any picture, turned in any way. What is planned lies
// inside of the picture and within the limits; where there is little to do it is done,
// and every row of the result comes once, with what the definition says.
func FuzzSizes(f *testing.F) {
	f.Add(uint64(1), 6000, 4000, 1, 3, 2400, 3000, byte(0xFF), 0.0, 0.0)
	f.Add(uint64(2), 61, 40, 6, 3, 8, 10, byte(5), -1.0, 0.5)
	f.Add(uint64(3), 30, 20, 8, 1, 16, 0, byte(0), 0.0, 0.0)
	f.Add(uint64(4), 9, 200, 3, 2, 300, 300, byte(2), 0.0, 0.0)
	f.Add(uint64(5), 1, 1, 0, 3, 50, 1, byte(3), 2.0, -2.0)
	f.Add(uint64(6), 400, 1, 5, 3, 1, 7, byte(3), 0.1, 0.2)
	f.Add(uint64(7), 131, 17, 2, 3, 8, 17, byte(1), 0.1, 0.2)
	f.Fuzz(func(t *testing.T, seed uint64, w, h, turn, kind, wantW, wantH int, flags byte, across, down float64) {
		s := Size{Kind(kind), wantW, wantH, flags&1 != 0, flags&2 != 0, flags&4 != 0, across, down}
		plan, err := s.Plan(w, h, turn)
		if err != nil {
			if plan != (Plan{}) {
				t.Fatal("a plan beside an error")
			}
			return
		}
		if plan.Crop.Empty() || !plan.Crop.In(image.Rect(0, 0, w, h)) || checkSize(plan.W, plan.H) != nil {
			t.Fatalf("%+v of %d x %d: %+v", s, w, h, plan)
		}
		if w*h > 1<<13 || plan.W*plan.H > 1<<13 || plan.W > 20*plan.Crop.Dx() || plan.H > 20*plan.Crop.Dy() {
			return // too much work for one of many
		}
		r := rand.New(rand.NewPCG(seed, 8))
		p := newPicture(w, h, func(x, y, c int) float64 { return r.Float64() })
		part := p.part(plan.Crop)
		got := resample(t, p, want{plan.Crop, plan.W, plan.H}, whole1(p, (w+1)/2, (h+1)/2))[0]
		sameAs(t, plan, got, slow(part, plan.W, plan.H))
	})
}

// FuzzSharpen sharpens rows of any size by anything that is taken: as many come out,
// in their order.
func FuzzSharpen(f *testing.F) {
	f.Add(uint64(1), 10, 10, 1.0, 1.0, 0.0)
	f.Add(uint64(2), 1, 1, 20.0, 3.0, 9.0)
	f.Add(uint64(3), 3, 70, 2.5, 20.0, 300.0)
	f.Fuzz(func(t *testing.T, seed uint64, w, h int, radius, amount, threshold float64) {
		u := Unsharp{radius, amount, threshold}
		if w <= 0 || h <= 0 || w > 200 || h > 200 {
			return
		}
		if _, err := NewSharpener(w, h, u, nil); err != nil {
			return
		}
		r := rand.New(rand.NewPCG(seed, 8))
		p := newPicture(w, h, func(x, y, c int) float64 { return r.Float64() })
		got := sharpen(t, p, u)
		if len(got.v) != len(p.v) {
			t.Fatalf("%d values for %d", len(got.v), len(p.v))
		}
		for i, v := range got.v {
			if d := float64(v - p.v[i]); !(d <= 1.001*amount+1e-5 && d >= -1.001*amount-1e-5) {
				t.Fatalf("%+v: %g becomes %g", u, p.v[i], v)
			}
		}
	})
}
