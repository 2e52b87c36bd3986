package match

import (
	"cmp"
	"math"
	"slices"
)

// vote is a pair of glimpses that look alike: it says that the reference's clock
// showed diff seconds more than the body's at that instant.
type vote struct {
	diff   float64
	weight float64
	a, b   int32 // glimpses: the reference's, the body's
	near   near  // the frames that are most alike
}

// votesOf turns pairs of frames into votes of glimpses. ref and own count how many
// glimpses of the same body look like one (see measure).
func votesOf(a, b *track, pairs []near, ref, own [][mostBits + 1]uint16, worth [mostBits + 1]float64) []vote {
	slices.SortFunc(pairs, func(p, q near) int {
		return cmp.Or(cmp.Compare(b.of[p.b], b.of[q.b]), cmp.Compare(a.of[p.a], a.of[q.a]), cmp.Compare(p.bits, q.bits), cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
	var out []vote
	for from := 0; from < len(pairs); {
		p := pairs[from]
		to := from + 1
		for to < len(pairs) && b.of[pairs[to].b] == b.of[p.b] && a.of[pairs[to].a] == a.of[p.a] {
			to++
		}
		diffs := make([]float64, 0, 8)
		for _, q := range pairs[from:to] {
			if q.bits <= p.bits+2 {
				diffs = append(diffs, a.at[q.a]-b.at[q.b])
			}
		}
		out = append(out, vote{diff: median(diffs), a: a.of[p.a], b: b.of[p.b], near: p})
		from = to
	}
	weigh(a, b, out, ref, own, worth)
	return slices.DeleteFunc(out, func(v vote) bool { return v.weight <= 0.05 })
}

// weigh divides what a pair's likeness is worth by how many others are as much
// alike: other glimpses of the other body, and of its own.
func weigh(a, b *track, votes []vote, ref, own [][mostBits + 1]uint16, worth [mostBits + 1]float64) {
	ofA, ofB := map[int32][]int{}, map[int32][]int{}
	for i, v := range votes {
		ofA[v.a], ofB[v.b] = append(ofA[v.a], i), append(ofB[v.b], i)
	}
	for i := range votes {
		v := &votes[i]
		d := v.near.bits
		others := 0
		for _, k := range ofA[v.a] {
			if w := votes[k]; w.near.bits <= d && !b.sameTime(int(b.first[v.b]), int(b.first[w.b])) {
				others++
			}
		}
		for _, k := range ofB[v.b] {
			if w := votes[k]; w.near.bits <= d && !a.sameTime(int(a.first[v.a]), int(a.first[w.a])) {
				others++
			}
		}
		v.weight = worth[d] / (1 + float64(others) + float64(ref[v.a][d]) + float64(own[v.b][d]))
	}
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	slices.Sort(x)
	return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
}

// kernel is how far, in seconds, two votes for the same offset may be apart: two
// people press at the same kiss, not in the same hundredth; and two clocks drift.
const kernel = 4.0

// peak is an offset that many votes are for.
type peak struct {
	at    float64 // seconds to add
	score float64
}

// peaks returns the best offsets of sorted votes, the best first, no two of them
// closer than two kernels. The sum of triangles is highest at one of the votes.
func peaks(votes []vote, most int) []peak {
	var all []peak
	from := 0
	for i, v := range votes {
		for votes[from].diff < v.diff-kernel {
			from++
		}
		sum := 0.0
		for k := from; k < len(votes) && votes[k].diff <= v.diff+kernel; k++ {
			sum += votes[k].weight * (1 - math.Abs(votes[k].diff-v.diff)/kernel)
		}
		all = append(all, peak{votes[i].diff, sum})
	}
	slices.SortStableFunc(all, func(p, q peak) int { return cmp.Compare(q.score, p.score) })
	var out []peak
	for _, p := range all {
		if len(out) == most {
			break
		}
		if !slices.ContainsFunc(out, func(q peak) bool { return math.Abs(p.at-q.at) < 2*kernel }) {
			out = append(out, p)
		}
	}
	return out
}

// around returns those of sorted votes that are at most so far from an offset.
func around(votes []vote, at, reach float64) []vote {
	from, _ := slices.BinarySearchFunc(votes, at-reach, func(v vote, x float64) int { return cmp.Compare(v.diff, x) })
	to, _ := slices.BinarySearchFunc(votes, at+reach, func(v vote, x float64) int { return cmp.Compare(v.diff, x) })
	return votes[from:to]
}

// oneToOne keeps, of the votes within reach of an offset, the weightiest so that each glimpse
// has one at most, and returns them with the sum of their weights under the kernel.
func oneToOne(votes []vote, at, reach float64) (out []vote, score float64) {
	in := slices.Clone(around(votes, at, reach))
	value := func(v vote) float64 { return v.weight * (1 - math.Abs(v.diff-at)/(1.25*reach)) }
	slices.SortStableFunc(in, func(p, q vote) int { return cmp.Compare(value(q), value(p)) })
	usedA, usedB := map[int32]bool{}, map[int32]bool{}
	for _, v := range in {
		if !usedA[v.a] && !usedB[v.b] {
			usedA[v.a], usedB[v.b] = true, true
			out, score = append(out, v), score+value(v)
		}
	}
	return out, score
}
