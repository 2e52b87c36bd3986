package match

import (
	"cmp"
	"slices"

	"garner/cull/group"
)

// least is how many frames a body needs, so that anything can be said of it.
const least = 2

// Find proposes the offsets of all bodies against one of them, in the order of the
// bodies' sizes and, for one body, of its clock's face. The frames carry the times
// that the bodies' own clocks showed, uncorrected. Frames without a time, a body or
// a picture are left out; with fewer than two bodies there is nothing to say.
func Find(frames []group.Frame, o Options) []Proposal {
	o = o.withDefaults()
	tracks := tracksOf(frames)
	if len(tracks) < 2 {
		return nil
	}
	at := reference(tracks, o.Reference)
	ref := tracks[at]
	tracks = slices.Delete(tracks, at, at+1)
	l := &likeness{}
	own := map[string][][mostBits + 1]uint16{ref.body: l.measure(ref)}
	for _, t := range tracks {
		own[t.body] = l.measure(t)
	}
	worth := l.worth()
	known := []*track{ref}
	var out []Proposal
	for _, t := range tracks {
		var best []found
		for i, a := range known { // a body that the reference never meets may meet one that did
			found := solve(a, t, own[a.body], own[t.body], worth, o)
			if i == 0 { // what the reference says stands where nobody is sure
				best = found
			}
			if anySure(found) {
				best = found
				known = append(known, t.moved(best))
				break
			}
		}
		out = append(out, proposals(ref, t, best)...)
	}
	return out
}

func anySure(list []found) bool {
	return slices.ContainsFunc(list, func(f found) bool { return f.sure == Sure })
}

// found is a stretch of a body with its verdict.
type found struct {
	stretch
	verdict
	sure     Confidence
	reason   string
	examples []Pair // the weightiest first
}

// solve finds one body's offsets against another's clock.
func solve(a, b *track, ref, own [][mostBits + 1]uint16, worth [mostBits + 1]float64, o Options) []found {
	votes := votesOf(a, b, nearest(a, b), ref, own, worth)
	votes = slices.DeleteFunc(votes, possible(a, b, o))
	slices.SortStableFunc(votes, func(p, q vote) int { return cmp.Compare(p.diff, q.diff) })
	width := 2 * o.Range.Seconds() // of the offsets that are possible
	var offsets []float64
	offer := func(list []vote, most int) {
		for _, p := range peaks(list, most) {
			if v := judge(a, b, list, p.at, width); len(v.pairs) > 0 && !slices.ContainsFunc(offsets, func(x float64) bool { return max(x-v.at, v.at-x) < kernel }) {
				offsets = append(offsets, v.at)
			}
		}
	}
	offer(votes, 6)
	for r := range b.runs[len(b.runs)-1] + 1 {
		if r < 8 {
			offer(slices.DeleteFunc(slices.Clone(votes), func(v vote) bool { return b.runs[v.b] != r }), 2)
		}
	}
	if len(offsets) == 0 {
		return []found{none(b)}
	}
	return settle(a, b, votes, walk(b, votes, offsets), offsets, width)
}

func none(b *track) found {
	c, why := verdict{}.confidence()
	return found{stretch: stretch{0, int32(b.glimpses()), 0}, sure: c, reason: why}
}

// possible drops the votes for offsets that nobody looks for: more than a day and
// two hours, where the body's clock is in the right days.
func possible(a, b *track, o Options) func(vote) bool {
	reach := o.Range.Seconds()
	lo, hi := slices.Min(a.at), slices.Max(a.at)
	elsewhere := make([]bool, b.runs[len(b.runs)-1]+1)
	for r := range elsewhere {
		elsewhere[r] = true
	}
	for i, at := range b.at {
		if at > lo-reach && at < hi+reach {
			elsewhere[b.runs[b.of[i]]] = false
		}
	}
	return func(v vote) bool { return !elsewhere[b.runs[v.b]] && (v.diff > reach || v.diff < -reach) }
}
