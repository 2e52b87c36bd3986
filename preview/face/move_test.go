package face

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(p, q Point, tol float64) bool { return p.distance(q) <= tol }

func TestSquare(t *testing.T) {
	m := square(192, Point{500, 300}, 96, math.Pi/2) // a quarter clockwise: right becomes down
	for _, c := range []struct{ from, to Point }{
		{Point{96, 96}, Point{500, 300}},
		{Point{192, 96}, Point{500, 348}},
		{Point{96, 0}, Point{548, 300}},
	} {
		if got := m.of(c.from); !near(got, c.to, 1e-9) {
			t.Errorf("%v is put at %v, want %v", c.from, got, c.to)
		}
	}
	if s := m.scale(); math.Abs(s-0.5) > 1e-12 {
		t.Errorf("scale %v, want 0.5", s)
	}
}

func TestFitFindsTheMove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := square(150, Point{rapid.Float64Range(-500, 5000).Draw(t, "x"), rapid.Float64Range(-500, 5000).Draw(t, "y")},
			rapid.Float64Range(1, 3000).Draw(t, "size"), rapid.Float64Range(-3, 3).Draw(t, "angle"))
		var to []Point
		for _, p := range chipPoints {
			to = append(to, m.of(p))
		}
		got, ok := fit(chipPoints[:], to)
		if !ok || math.Abs(got.A-m.A) > 1e-8 || math.Abs(got.B-m.B) > 1e-8 || !near(Point{got.X, got.Y}, Point{m.X, m.Y}, 1e-6) {
			t.Fatalf("%+v, want %+v", got, m)
		}
	})
}

// Of points that no move brings onto each other the fit is the best: any other near it
// is worse by the sum of squares.
func TestFitIsTheNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var to []Point
		for range chipPoints {
			to = append(to, Point{rapid.Float64Range(0, 100).Draw(t, "x"), rapid.Float64Range(0, 100).Draw(t, "y")})
		}
		miss := func(m move) (sum float64) {
			for i, p := range chipPoints {
				d := m.of(p).distance(to[i])
				sum += d * d
			}
			return sum
		}
		m, ok := fit(chipPoints[:], to)
		if !ok {
			t.Skip()
		}
		best := miss(m)
		for _, d := range []float64{-0.1, 0.1} {
			for _, other := range []move{{m.A + d, m.B, m.X, m.Y}, {m.A, m.B + d, m.X, m.Y}, {m.A, m.B, m.X + d, m.Y}, {m.A, m.B, m.X, m.Y + d}} {
				if miss(other) < best {
					t.Fatalf("%+v misses by %v, %+v by %v", m, best, other, miss(other))
				}
			}
		}
	})
}

func TestFitOfNothing(t *testing.T) {
	five := make([]Point, 5)
	if m, ok := fit(chipPoints[:], five); ok {
		t.Errorf("five points in one place are fitted by %+v", m)
	}
	if m, ok := fit(five, chipPoints[:]); ok {
		t.Errorf("one place is fitted to five points by %+v", m)
	}
	five[2].X = math.NaN()
	if m, ok := fit(chipPoints[:], five); ok {
		t.Errorf("what is no number is fitted by %+v", m)
	}
}
