package match

import (
	"math"
	"slices"
)

// The price of a change of offset between two glimpses, in units of votes.
const (
	setPrice  = 0.2 // the clock was seen to be set
	gapPrice  = 3.0 // after a pause; more after a short one
	mostPrice = 7.0
)

// stretch is a run of glimpses of one body with one offset; state -1 = none.
type stretch struct {
	from, to int32
	state    int
}

// walk finds for every glimpse the offset that it was taken at: the way through the
// offsets that has most votes, less the price of its changes. A change must not
// turn time back.
func walk(b *track, votes []vote, offsets []float64) []stretch {
	n, k := b.glimpses(), len(offsets)
	if n == 0 || k == 0 {
		return nil
	}
	gain := gains(n, votes, offsets)
	best := make([]float64, k)
	next := make([]float64, k)
	back := make([]uint8, n*k)
	copy(best, gain[:k])
	for g := 1; g < n; g++ {
		i := int(b.first[g])
		pause := b.at[i] - b.at[i-1]
		price := mostPrice - (mostPrice-gapPrice)*min(1, math.Abs(pause)/300)
		if b.runs[g] != b.runs[g-1] {
			price = setPrice
		}
		for s := range k {
			next[s], back[g*k+s] = best[s], uint8(s)
			if b.runs[g] != b.runs[g-1] && pause+0 < -backwards { // the same offset turns time back
				next[s] -= mostPrice
			}
			for r := range k {
				if r == s || pause+offsets[s]-offsets[r] < -backwards-kernel {
					continue
				}
				if v := best[r] - price; v > next[s] {
					next[s], back[g*k+s] = v, uint8(r)
				}
			}
			next[s] += gain[g*k+s]
		}
		best, next = next, best
	}
	state := 0
	for s := range k {
		if best[s] > best[state] {
			state = s
		}
	}
	var out []stretch
	for g := int32(n - 1); g >= 0; g-- {
		if l := len(out); l > 0 && out[l-1].state == state && b.runs[g] == b.runs[g+1] {
			out[l-1].from = g
		} else {
			out = append(out, stretch{g, g + 1, state})
		}
		state = int(back[int(g)*k+state])
	}
	slices.Reverse(out)
	return out
}

// gains are the votes of each glimpse for each offset, the weightiest alone.
func gains(n int, votes []vote, offsets []float64) []float64 {
	k := len(offsets)
	gain := make([]float64, n*k)
	for s, at := range offsets {
		for _, v := range around(votes, at, kernel) {
			x := &gain[int(v.b)*k+s]
			*x = max(*x, v.weight*(1-math.Abs(v.diff-at)/(1.25*kernel)))
		}
	}
	return gain
}
