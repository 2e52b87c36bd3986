package face

import (
	"context"
	"errors"
	"image"
	"math"
	"testing"
	"time"

	"garner/preview/jpeg"
)

// Boxes come out in pixels of the picture, whatever its size and shape and through
// whichever of the runs they were seen; one that several saw is one.
func TestFindPlaces(t *testing.T) {
	for _, c := range []struct {
		w, h    int
		squares []image.Rectangle
		tol     float64
	}{
		{1024, 683, []image.Rectangle{image.Rect(400, 200, 620, 420), image.Rect(40, 500, 90, 550), image.Rect(900, 20, 1000, 120), image.Rect(700, 600, 716, 616)}, 4},
		{683, 1024, []image.Rectangle{image.Rect(200, 400, 420, 620), image.Rect(300, 900, 340, 940)}, 4},
		{1024, 1024, []image.Rectangle{image.Rect(460, 460, 560, 560), image.Rect(510, 10, 540, 40)}, 4}, // in the middle, where the parts meet
		{3000, 500, []image.Rectangle{image.Rect(1400, 100, 1600, 300)}, 12},
		{6000, 4000, []image.Rectangle{image.Rect(4000, 3000, 4600, 3600)}, 24},
		{150, 100, []image.Rectangle{image.Rect(60, 20, 110, 70)}, 1},
		{40, 60, []image.Rectangle{image.Rect(10, 10, 30, 30)}, 0.5},
	} {
		r := &Reader{nets: fake{find: seesSquares}}
		got, err := r.Find(context.Background(), withSquares(c.w, c.h, 2, c.squares...))
		if err != nil {
			t.Fatal(err)
		}
		if len(got) != len(c.squares) {
			t.Errorf("%dx%d: %d faces, want %d: %+v", c.w, c.h, len(got), len(c.squares), got)
			continue
		}
		for _, s := range c.squares {
			ok := false
			for i, f := range got {
				ok = ok || math.Abs(f.X-float64(s.Min.X)) <= c.tol && math.Abs(f.Y-float64(s.Min.Y)) <= c.tol &&
					math.Abs(f.X+f.W-float64(s.Max.X)) <= c.tol && math.Abs(f.Y+f.H-float64(s.Max.Y)) <= c.tol &&
					near(f.Points[2], f.middle(), c.tol)
				if i > 0 && f.W*f.H > got[i-1].W*got[i-1].H {
					t.Errorf("%dx%d: not the largest first", c.w, c.h)
				}
			}
			if !ok {
				t.Errorf("%dx%d: nothing at %v: %+v", c.w, c.h, s, got)
			}
		}
	}
}

func TestParts(t *testing.T) {
	for _, c := range []struct{ w, h, n int }{{1024, 683, 5}, {683, 1024, 5}, {1024, 1024, 5}, {3000, 300, 3}, {300, 200, 5}, {120, 100, 1}, {1, 1, 1}} {
		got := parts(c.w, c.h)
		if len(got) != c.n || got[0] != image.Rect(0, 0, c.w, c.h) {
			t.Errorf("%dx%d: %v, want %d of them", c.w, c.h, got, c.n)
		}
		// Every pixel but for the whole's lies in a part, with room round it.
		for _, p := range got {
			if !p.In(got[0]) || p.Empty() {
				t.Errorf("%dx%d: %v lies outside", c.w, c.h, p)
			}
		}
		if c.n == 5 && (got[1].Max.X-got[2].Min.X < c.w/11 || got[1].Max.Y-got[3].Min.Y < c.h/11) {
			t.Errorf("%dx%d: %v overlap by less than an eleventh", c.w, c.h, got)
		}
	}
}

func TestFindTakesAnything(t *testing.T) {
	r := &Reader{nets: fake{find: seesSquares}}
	for _, m := range []*jpeg.Image{
		painted(1, 1, 1, 1, func(int, int) byte { return 0 }, nil, nil),
		painted(1, 5000, 1, 1, func(int, int) byte { return 0 }, nil, nil),
		withSquares(3, 2, 2), withSquares(1000, 1, 2),
	} {
		if got, err := r.Find(context.Background(), m); err != nil || len(got) != 0 {
			t.Errorf("%dx%d: %v, %v", m.Width, m.Height, got, err)
		}
	}
	grey := painted(600, 400, 1, 1, func(x, y int) byte {
		if image.Pt(x, y).In(image.Rect(100, 100, 200, 200)) {
			return 255
		}
		return 0
	}, nil, nil)
	if got, err := r.Find(context.Background(), grey); err != nil || len(got) != 1 {
		t.Errorf("grey: %v, %v", got, err)
	}
	for _, m := range []*jpeg.Image{nil, {}, {Width: 100, Height: 100, YStride: 100, SubX: 1, SubY: 1, Y: make([]byte, 99)}} {
		if _, err := r.Find(context.Background(), m); !errors.Is(err, errNoPicture) {
			t.Errorf("a picture that is none: %v", err)
		}
		if _, err := r.Eyes(context.Background(), m, at(1, 1, 10, 1).Found); !errors.Is(err, errNoPicture) {
			t.Errorf("eyes in a picture that is none: %v", err)
		}
		if _, err := r.Template(context.Background(), m, Eyes{Chip: chipPoints}); !errors.Is(err, errNoPicture) {
			t.Errorf("a template of a picture that is none: %v", err)
		}
	}
}

// A run that is under way ends; none begins after the context has.
func TestFindStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	runs := 0
	r := &Reader{nets: fake{find: func(in []float32) [][]float32 {
		if runs++; runs == 2 {
			cancel()
		}
		return seesSquares(in)
	}}}
	if _, err := r.Find(ctx, withSquares(1024, 683, 2)); !errors.Is(err, context.Canceled) || runs != 2 {
		t.Errorf("%v after %d runs, want it cancelled after 2", err, runs)
	}
	late, stop := context.WithTimeout(context.Background(), -time.Second)
	defer stop()
	all := &Reader{nets: fake{seesSquares, meshOf(sample()), fakeTemplate}}
	m := withSquares(64, 64, 2)
	f := at(10, 10, 30, 1).Found
	f.Points[1].X += 10
	if _, err := all.Eyes(late, m, f); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("eyes: %v", err)
	}
	if _, err := all.Template(late, m, Eyes{Chip: chipPoints}); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("template: %v", err)
	}
}

func TestFoundIn(t *testing.T) {
	f := at(100, 60, 50, 0.9).Found
	g := f.In(4, image.Pt(300, 200))
	if g.X != 100 || g.Y != 40 || g.W != 200 || g.Points[1] != (Point{104, 40}) || g.Score != 0.9 {
		t.Errorf("%+v", g)
	}
}

// What Eyes looks at is all in the part that Around names: with the rest painted over
// the network sees the same.
func TestAround(t *testing.T) {
	var saw [][]float32
	r := &Reader{nets: fake{look: func(in []float32) [][]float32 {
		saw = append(saw, append([]float32(nil), in...))
		return sample()
	}}}
	m := painted(900, 600, 2, 2, func(x, y int) byte { return byte(x*7 ^ y*3) }, func(x, y int) byte { return byte(x * y) }, func(x, y int) byte { return byte(x - y) })
	for _, size := range []float64{40, 150, 500} {
		f := at(400-size/2, 300-size/2, size, 1).Found
		f.Points[0], f.Points[1] = Point{400 - size/4, 290}, Point{400 + size/4, 300}
		around := f.Around(m.Width, m.Height)
		n := *m
		n.Y = append([]byte(nil), m.Y...)
		for y := range n.Height {
			for x := range n.Width {
				if !image.Pt(x, y).In(around) {
					n.Y[y*n.YStride+x] = 0
				}
			}
		}
		saw = saw[:0]
		for _, m := range []*jpeg.Image{m, &n} {
			if _, err := r.Eyes(context.Background(), m, f); err != nil {
				t.Fatal(err)
			}
		}
		for look := range 2 {
			for i, v := range saw[look] {
				if saw[2+look][i] != v {
					t.Fatalf("a face of %v, look %d: value %d depends on what lies outside %v", size, look, i, around)
				}
			}
		}
		if around.Dx() > int(size*1.5*1.25*1.5)+20 {
			t.Errorf("a face of %v needs %v", size, around)
		}
	}
	for _, f := range []Found{{}, at(2000, 100, 50, 1).Found, at(math.NaN(), 1, 5, 1).Found, at(1, 1, math.Inf(1), 1).Found} {
		if r := f.Around(900, 600); !r.Empty() {
			t.Errorf("%+v needs %v", f, r)
		}
	}
}
