package face

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func at(x, y, size, score float64) sighting {
	f := Found{X: x, Y: y, W: size, H: size, Score: score}
	for i := range f.Points {
		f.Points[i] = Point{x + float64(i), y}
	}
	return sighting{Found: f}
}

// The mean by score of what overlaps by more than 0.3, with the score of the surest.
func TestMergeMeans(t *testing.T) {
	got := merge([]sighting{at(104, 100, 40, 0.6), at(100, 100, 40, 0.9), at(300, 100, 40, 0.7)})
	if len(got) != 2 {
		t.Fatalf("%d faces, want 2: %+v", len(got), got)
	}
	want := (0.9*100 + 0.6*104) / 1.5 // worked by hand: 101.6
	if f := got[0]; math.Abs(f.X-want) > 1e-9 || f.W != 40 || f.Score != 0.9 || math.Abs(f.Points[1].X-want-1) > 1e-9 {
		t.Errorf("%+v, want x = %v", f, want)
	}
	// Squares of 40 that lie 21 apart: 19/61 = 0.311; 22 apart: 18/62 = 0.290.
	if n := len(merge([]sighting{at(0, 0, 40, 0.9), at(21, 0, 40, 0.8)})); n != 1 {
		t.Errorf("an overlap of 0.31 gives %d faces", n)
	}
	if n := len(merge([]sighting{at(0, 0, 40, 0.9), at(22, 0, 40, 0.8)})); n != 2 {
		t.Errorf("an overlap of 0.29 gives %d faces", n)
	}
}

func TestMergePieces(t *testing.T) {
	whole, piece := at(0, 0, 100, 0.7), at(30, 30, 30, 0.8)
	piece.cut = true
	if got := merge([]sighting{piece, whole}); len(got) != 1 || math.Abs(got[0].W-100) > 1e-9 || got[0].Score != 0.7 {
		t.Errorf("a piece beside the whole: %+v", got)
	}
	if got := merge([]sighting{piece}); len(got) != 1 || math.Abs(got[0].W-30) > 1e-9 {
		t.Errorf("a piece alone: %+v", got)
	}
	// A sure small face before a less sure large one is no piece of it.
	if got := merge([]sighting{at(0, 0, 100, 0.7), at(30, 30, 30, 0.8)}); len(got) != 2 {
		t.Errorf("a small face before a large one: %+v", got)
	}
}

func TestMergeKeepsOneOfEach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []sighting
		for range rapid.IntRange(0, 30).Draw(t, "n") {
			s := at(rapid.Float64Range(0, 300).Draw(t, "x"), rapid.Float64Range(0, 300).Draw(t, "y"),
				rapid.Float64Range(1, 200).Draw(t, "size"), rapid.Float64Range(0.6, 1).Draw(t, "score"))
			s.cut = rapid.Bool().Draw(t, "cut")
			all = append(all, s)
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, s := range all {
			lo, hi = min(lo, s.X, s.Y), max(hi, s.X+s.W, s.Y+s.H)
		}
		got := merge(all)
		if (len(got) == 0) != (len(all) == 0) || len(got) > len(all) {
			t.Fatalf("%d sightings give %d faces", len(all), len(got))
		}
		for _, f := range got {
			if f.X < lo-1e-9 || f.Y < lo-1e-9 || f.X+f.W > hi+1e-9 || f.Y+f.H > hi+1e-9 || !(f.Score >= 0.6 && f.Score <= 1) {
				t.Fatalf("%+v lies outside of what was seen", f)
			}
		}
	})
}
