package group

import (
	"cmp"
	"slices"
	"strings"
)

// sorted returns the frames in order (see the package comment).
func sorted(frames []Frame) []Frame {
	out := slices.Clone(frames)
	slices.SortFunc(out, func(a, b Frame) int {
		if a.Time.Known() != b.Time.Known() {
			if a.Time.Known() {
				return -1
			}
			return 1
		}
		return cmp.Or(a.Time.Wall.Compare(b.Time.Wall), strings.Compare(a.Name, b.Name), strings.Compare(string(a.ID), string(b.ID)))
	})
	for from := 0; from < len(out); {
		to := from + 1
		for to < len(out) && out[to].Time.Known() && out[to].Time.Wall.Equal(out[from].Time.Wall) {
			to++
		}
		if to-from > 1 && out[from].Time.Known() {
			byCounter(out[from:to])
		}
		from = to
	}
	return out
}

// byCounter puts each body's frames of one instant into the order of its
// counter, within the places that they have by name. (Comparing counters and
// names in one comparison would be no order: two bodies' frames could form a
// circle.)
func byCounter(run []Frame) {
	slots := map[string][]int{}
	for i, f := range run {
		slots[f.Body] = append(slots[f.Body], i)
	}
	for body, at := range slots {
		own := make([]Frame, len(at))
		for k, i := range at {
			own[k] = run[i]
		}
		if body == "" || len(own) < 2 || slices.ContainsFunc(own, func(f Frame) bool { return f.Counter == 0 }) {
			continue
		}
		slices.SortStableFunc(own, func(a, b Frame) int { return cmp.Compare(a.Counter, b.Counter) })
		// A counter that starts again at 1 after 9999 leaves a wide gap: what
		// comes before the gap was taken after.
		for k := 1; k < len(own); k++ {
			if own[k].Counter-own[k-1].Counter > 5000 {
				own = append(slices.Clone(own[k:]), own[:k]...)
				break
			}
		}
		for k, i := range at {
			run[i] = own[k]
		}
	}
}
