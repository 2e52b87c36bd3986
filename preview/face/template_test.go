package face

import (
	"context"
	"errors"
	"image"
	"math"
	"testing"

	"garner/preview/jpeg"
)

// A chip is taken so that the five points come to lie where the network was trained to
// find them: here each is a bright dot, and the dots are looked for in the chip.
func TestChip(t *testing.T) {
	for _, size := range []float64{60, 150, 700} {
		place := square(1, Point{400, 300}, size, 0.5)
		e := Eyes{Presence: 1}
		var dots []image.Rectangle
		n := max(3, int(size/50))
		for i, p := range chipPoints {
			q := place.of(p)
			q = Point{math.Round(q.X), math.Round(q.Y)}
			e.Chip[i] = q
			dots = append(dots, image.Rect(int(q.X)-n, int(q.Y)-n, int(q.X)+n, int(q.Y)+n))
		}
		var chip []float32
		r := &Reader{nets: fake{know: func(in []float32) [][]float32 {
			chip = append([]float32(nil), in...)
			return fakeTemplate(in)
		}}}
		if _, err := r.Template(context.Background(), withSquares(800, 600, 2, dots...), e); err != nil {
			t.Fatal(err)
		}
		for i, p := range chipPoints {
			x, y := (p.X+0.25)/1.5*150, (p.Y+0.25)/1.5*150
			var sum, sx, sy float64
			for j := range chipSide * chipSide {
				cx, cy := float64(j%chipSide)+0.5, float64(j/chipSide)+0.5
				if v := float64(chip[j*3]); math.Hypot(cx-x, cy-y) < 10 {
					sum, sx, sy = sum+v, sx+v*cx, sy+v*cy
				}
			}
			if sum == 0 || math.Hypot(sx/sum-x, sy/sum-y) > 1.5 {
				t.Errorf("face of %v: point %d at %.1f,%.1f, want %.1f,%.1f", size, i, sx/sum, sy/sum, x, y)
			}
		}
	}
}

func TestTemplateRefuses(t *testing.T) {
	m := withSquares(80, 60, 2)
	know := func(v float32) *Reader {
		return &Reader{nets: fake{know: func(in []float32) [][]float32 {
			out := fakeTemplate(in)
			out[0][5] = v
			return out
		}}}
	}
	for _, c := range []struct {
		name string
		m    *jpeg.Image
		e    Eyes
		v    float32
		want error
	}{
		{"no eyes", m, Eyes{}, 0, ErrNoFace},
		{"no number", m, Eyes{Chip: [5]Point{{math.NaN(), 0}}}, 0, ErrNoFace},
		{"far away", m, Eyes{Chip: [5]Point{{1e300, 0}}}, 0, ErrNoFace},
		{"output no number", m, Eyes{Chip: chipPoints}, float32(math.NaN()), errOutput},
		{"output infinite", m, Eyes{Chip: chipPoints}, float32(math.Inf(-1)), errOutput},
	} {
		if tp, err := know(c.v).Template(context.Background(), c.m, c.e); !errors.Is(err, c.want) || tp != (Template{}) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	short := &Reader{nets: fake{know: func([]float32) [][]float32 { return [][]float32{make([]float32, 127)} }}}
	if _, err := short.Template(context.Background(), m, Eyes{Chip: chipPoints}); !errors.Is(err, errOutput) {
		t.Errorf("127 numbers: %v", err)
	}
}

func TestDistance(t *testing.T) {
	a, b := Template{}, Template{0: 3, 127: -4}
	if d := a.Distance(b); d != 5 {
		t.Errorf("%v, want 5", d)
	}
	if d := b.Distance(b); d != 0 {
		t.Errorf("to itself: %v", d)
	}
}
