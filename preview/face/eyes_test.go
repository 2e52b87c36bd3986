package face

import (
	"context"
	"errors"
	"math"
	"testing"
)

// sample is what the mesh might give: the person's right eye from 50,80 to 80,80, the
// left one from 142,80 to 112,80, the lids 3 above and 3 below and 0.6.
func sample() [][]float32 {
	out := [][]float32{make([]float32, meshPoints), make([]float32, 160), make([]float32, eyePoints), make([]float32, eyePoints), make([]float32, irisPoints), make([]float32, irisPoints), {4}}
	set := func(v []float32, i, step int, x, y float32) { v[i*step], v[i*step+1] = x, y }
	lid := func(v []float32, outer, inner, lid float32) {
		for i := range 9 {
			set(v, i, 2, outer+(inner-outer)*float32(i)/8, 80+lid)
		}
		for i := range 7 {
			set(v, 9+i, 2, outer+(inner-outer)*float32(i+1)/8, 80-lid)
		}
		set(v, 0, 2, outer, 80)
		set(v, 8, 2, inner, 80)
	}
	lid(out[2], 50, 80, 3)
	lid(out[3], 142, 112, 0.6)
	set(out[4], 0, 2, 66, 80)
	set(out[5], 0, 2, 126, 80)
	for i := range 468 { // spans 110 x 140 round the middle
		set(out[0], i, 3, 96+55*float32(i%2*2-1), 96+70*float32(i/2%2*2-1))
	}
	set(out[0], outerRight, 3, 50, 80)
	set(out[0], outerLeft, 3, 142, 80)
	set(out[0], noseBase, 3, 96, 120)
	return out
}

func meshOf(out [][]float32) func([]float32) [][]float32 {
	return func([]float32) [][]float32 { return out }
}

func fakeTemplate([]float32) [][]float32 { return [][]float32{make([]float32, 128)} }

func TestEyes(t *testing.T) {
	r := &Reader{nets: fake{look: meshOf(sample())}}
	f := at(300, 100, 128, 1).Found // the mesh sees it at its own size, first
	const again = 140 * 1.5 / 192   // and then by its points, which are those of the first look
	f.Points[0], f.Points[1] = Point{340, 150}, Point{388, 150}
	e, err := r.Eyes(context.Background(), withSquares(800, 600, 2), f)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"presence", e.Presence, 1 / (1 + math.Exp(-4))}, {"right", e.Right, 0.2}, {"left", e.Left, 0.04},
		{"right width", e.Width[0], 30 * again}, {"left width", e.Width[1], 30 * again}, {"apart", e.Apart, 60 * again}, {"roll", e.Roll, 0},
	} {
		if math.Abs(c.got-c.want) > 1e-6 {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
	// The middle of both squares is at 364, 164; the points are the mean of both.
	const mean = (1 + again) / 2
	for i, p := range [5]Point{{-46, -16}, {-16, -16}, {16, -16}, {46, -16}, {0, 24}} {
		if want := (Point{364 + p.X*mean, 164 + p.Y*mean}); !near(e.Chip[i], want, 1e-6) {
			t.Errorf("point %d of the chip at %v, want %v", i, e.Chip[i], want)
		}
	}
	// Twice as large and turned by 30 degrees: lengths double, openings stay.
	f = f.In(2, oneRect.Min)
	f.Points[1] = Point{f.Points[0].X + 96*math.Cos(math.Pi/6), f.Points[0].Y + 96*math.Sin(math.Pi/6)}
	g, err := r.Eyes(context.Background(), withSquares(1600, 1200, 2), f)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(g.Apart-120*again) > 1e-6 || math.Abs(g.Roll-math.Pi/6) > 1e-6 || math.Abs(g.Right-0.2) > 1e-6 || math.Abs(g.Width[1]-60*again) > 1e-6 {
		t.Errorf("turned: %+v", g)
	}
}

// A second look that sees no face, or would be somewhere else, changes nothing.
func TestEyesSecondLook(t *testing.T) {
	f := at(300, 100, 128, 1).Found
	f.Points[0], f.Points[1] = Point{340, 150}, Point{388, 150}
	for _, c := range []struct {
		name  string
		spoil func(out [][]float32)
		runs  int
	}{
		{"no face", func(out [][]float32) { out[6][0] = -9 }, 2},
		{"no number", func(out [][]float32) { out[4][0] = float32(math.NaN()) }, 2},
	} {
		runs := 0
		r := &Reader{nets: fake{look: func([]float32) [][]float32 {
			out := sample()
			if runs++; runs == 2 {
				c.spoil(out)
			}
			return out
		}}}
		e, err := r.Eyes(context.Background(), withSquares(800, 600, 2), f)
		if err != nil || runs != c.runs || math.Abs(e.Apart-60) > 1e-6 {
			t.Errorf("%s: %+v after %d looks, %v", c.name, e, runs, err)
		}
	}
	for _, mesh := range []func(i int) float32{
		func(i int) float32 { return 96 },
		func(i int) float32 { return float32(i) * 1e6 },
		func(i int) float32 { return float32(math.NaN()) },
		func(i int) float32 { return 170 + float32(i%2)*30 },
	} {
		out := sample()
		for i := range out[0] {
			if i/3 != noseBase {
				out[0][i] = mesh(i)
			}
		}
		runs := 0
		r := &Reader{nets: fake{look: func([]float32) [][]float32 { runs++; return out }}}
		if e, err := r.Eyes(context.Background(), withSquares(800, 600, 2), f); err != nil || runs != 1 || math.Abs(e.Apart-60) > 1e-6 {
			t.Errorf("%v...: %+v after %d looks, %v", out[0][:2], e, runs, err)
		}
	}
}

func TestEyesOfNothing(t *testing.T) {
	m := withSquares(80, 60, 2)
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	for _, bad := range []float32{nan, inf, -inf, 1e20} {
		for k, i := range map[int]int{0: 6, 2: 0, 3: 11, 4: 1, 5: 0} {
			out := sample()
			out[k][i] = bad
			r := &Reader{nets: fake{look: meshOf(out)}}
			f := at(10, 10, 30, 1).Found
			if e, err := r.Eyes(context.Background(), m, f); err != nil || e != (Eyes{}) {
				t.Errorf("%v in output %d: %+v, %v", bad, k, e, err)
			}
		}
	}
	out := sample()
	out[6][0] = nan
	r := &Reader{nets: fake{look: meshOf(out)}}
	if e, err := r.Eyes(context.Background(), m, at(10, 10, 30, 1).Found); err != nil || e.Presence != 0 {
		t.Errorf("a presence that is no number: %+v, %v", e, err)
	}
	for _, f := range []Found{{}, at(math.NaN(), 0, 5, 1).Found, at(0, math.Inf(1), 5, 1).Found, at(0, 0, 1e300, 1).Found, at(0, 0, -4, 1).Found} {
		if _, err := r.Eyes(context.Background(), m, f); !errors.Is(err, ErrNoFace) {
			t.Errorf("%+v: %v", f, err)
		}
	}
	for i := range meshOutputs {
		out := sample()
		out[i] = out[i][:len(out[i])-1]
		r := &Reader{nets: fake{look: meshOf(out)}}
		if _, err := r.Eyes(context.Background(), m, at(10, 10, 30, 1).Found); !errors.Is(err, errOutput) {
			t.Errorf("output %d too short: %v", i, err)
		}
	}
}
