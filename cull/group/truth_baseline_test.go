package group

import (
	"time"

	"garner/cull"
)

// Two simple methods to compare with. Each looks at one body's frames in order
// and cuts by one number alone, and each is given the number that is best for
// the very case, which no real method could know.

// timeAlone begins a new group after every pause longer than a fixed one.
func timeAlone(frames []Frame, known map[cull.ID]string) (best score, pause time.Duration) {
	ordered := sorted(frames)
	for ms := 50; ms <= 12_000; ms += max(50, ms/10) {
		gap := time.Duration(ms) * time.Millisecond
		s := bCubed(cutBy(ordered, func(a, b Frame) bool { return b.Time.Wall.Sub(a.Time.Wall) <= gap }), known)
		if s.f1 > best.f1 {
			best, pause = s, gap
		}
	}
	return best, pause
}

// likenessAlone begins a new group where a frame's hash differs from the one
// before by more than a fixed number of bits.
func likenessAlone(frames []Frame, known map[cull.ID]string) (best score, bits int) {
	ordered := sorted(frames)
	for limit := 0; limit <= 40; limit += 2 {
		s := bCubed(cutBy(ordered, func(a, b Frame) bool { return Distance(a.Fingerprint, b.Fingerprint) <= limit }), known)
		if s.f1 > best.f1 {
			best, bits = s, limit
		}
	}
	return best, bits
}

func cutBy(ordered []Frame, together func(a, b Frame) bool) map[cull.ID]int {
	found, group := map[cull.ID]int{}, 0
	last, group0 := map[string]Frame{}, map[string]int{}
	for _, f := range ordered {
		before, any := last[f.Body]
		if !any || !together(before, f) {
			group++
			group0[f.Body] = group
		}
		found[f.ID], last[f.Body] = group0[f.Body], f
	}
	return found
}
