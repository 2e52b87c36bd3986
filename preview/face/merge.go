package face

import (
	"cmp"
	"slices"
)

// sighting is a face as one run saw it, in pixels of the picture.
type sighting struct {
	Found
	cut bool // by a border of the run that is none of the picture
}

// Overlap above which two boxes are of one face: intersection by union as MediaPipe's
// graph has it (min_suppression_threshold). A box of which so much lies inside a surer
// one is a piece of that face, seen by a run that had no room for all of it.
const (
	sameFace = 0.3
	pieceOf  = 0.7
)

// merge makes one face of each group of sightings: the mean of what overlaps the
// surest, weighted by score, with the score of the surest, as MediaPipe's
// NonMaxSuppressionCalculator does (algorithm WEIGHTED). A sighting that was cut off
// counts only where there is none of the whole face.
func merge(all []sighting) []Found {
	slices.SortStableFunc(all, func(a, b sighting) int {
		if a.cut != b.cut {
			if b.cut {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.Score, a.Score)
	})
	var out []Found
	gone := make([]bool, len(all))
	for i, top := range all {
		if gone[i] {
			continue
		}
		var sum Found
		sum.add(top.Found)
		for j := i + 1; j < len(all); j++ {
			s := all[j]
			if gone[j] {
				continue
			}
			union, inside := overlap(top.Found, s.Found)
			gone[j] = union > sameFace || inside > pieceOf
			if union > sameFace && s.cut == top.cut {
				sum.add(s.Found)
			}
		}
		out = append(out, sum.mean(top.Score))
	}
	return out
}

// overlap is the intersection of two boxes by their union, and by the second one.
func overlap(a, b Found) (union, inside float64) {
	w := min(a.X+a.W, b.X+b.W) - max(a.X, b.X)
	h := min(a.Y+a.H, b.Y+b.H) - max(a.Y, b.Y)
	if w <= 0 || h <= 0 {
		return 0, 0
	}
	both, p, q := w*h, a.W*a.H, b.W*b.H
	return both / (p + q - both), both / q
}

// add adds a face with the weight of its score, mean divides by all the weights.
func (f *Found) add(g Found) {
	k := g.Score
	f.Score += k
	f.X, f.Y, f.W, f.H = f.X+k*g.X, f.Y+k*g.Y, f.W+k*g.W, f.H+k*g.H
	for i, p := range g.Points {
		f.Points[i].X += k * p.X
		f.Points[i].Y += k * p.Y
	}
}

func (f Found) mean(score float64) Found {
	k := 1 / f.Score
	f.X, f.Y, f.W, f.H, f.Score = f.X*k, f.Y*k, f.W*k, f.H*k, score
	for i, p := range f.Points {
		f.Points[i] = Point{p.X * k, p.Y * k}
	}
	return f
}
