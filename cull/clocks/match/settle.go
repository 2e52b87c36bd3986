package match

import (
	"cmp"
	"slices"
)

// settle judges stretches and gives those that say nothing to a neighbour, unless
// the clock was seen to be set between them.
func settle(a, b *track, votes []vote, list []stretch, offsets []float64, width float64) []found {
	var all []found
	judged := map[stretch]found{} // most stay as they are when one is given away
	for {
		all = all[:0]
		for _, s := range list {
			if f, ok := judged[s]; ok {
				all = append(all, f)
				continue
			}
			mine := slices.DeleteFunc(slices.Clone(votes), func(v vote) bool { return v.b < s.from || v.b >= s.to })
			f := found{stretch: s, verdict: judge(a, b, mine, offsets[s.state], width)}
			f.sure, f.reason = f.confidence()
			f.examples = pairsOf(a, b, f.pairs)
			judged[s] = f
			all = append(all, f)
		}
		i := weakest(b, all)
		if i < 0 {
			return all
		}
		list = give(b, list, all, i)
	}
}

// joined reports that two stretches that follow each other are of one run of the
// clock.
func joined(b *track, s, t stretch) bool { return b.runs[s.to-1] == b.runs[t.from] }

// weakest finds the stretch of the lowest score that cannot tell and has a neighbour
// in its run; -1 = none.
func weakest(b *track, all []found) int {
	at := -1
	for i, f := range all {
		alone := (i == 0 || !joined(b, all[i-1].stretch, f.stretch)) && (i+1 == len(all) || !joined(b, f.stretch, all[i+1].stretch))
		if f.sure == CannotTell && !alone && (at < 0 || f.score < all[at].score) {
			at = i
		}
	}
	return at
}

// give joins stretch i to the better of its neighbours in the run.
func give(b *track, list []stretch, all []found, i int) []stretch {
	left := i > 0 && joined(b, list[i-1], list[i])
	right := i+1 < len(list) && joined(b, list[i], list[i+1])
	if left && right {
		left = all[i-1].score >= all[i+1].score
	}
	if left {
		list[i-1].to = list[i].to
	} else {
		list[i+1].from = list[i].from
	}
	list = slices.Delete(list, i, i+1)
	for k := 1; k < len(list); k++ {
		if list[k].state == list[k-1].state && joined(b, list[k-1], list[k]) {
			list[k-1].to = list[k].to
			list = slices.Delete(list, k, k+1)
			k--
		}
	}
	return list
}

// pairsOf names the frames of votes, the weightiest first.
func pairsOf(a, b *track, votes []vote) []Pair {
	sorted := slices.Clone(votes)
	slices.SortStableFunc(sorted, func(p, q vote) int { return cmp.Compare(q.weight, p.weight) })
	var out []Pair
	for _, v := range sorted {
		out = append(out, Pair{b.frames[v.near.b].ID, a.frames[v.near.a].ID, int(v.near.bits)})
	}
	return out
}

// moved is a track with its clock corrected by what was found.
func (t *track) moved(by []found) *track {
	out := *t
	out.at = slices.Clone(t.at)
	for _, f := range by {
		for i := t.first[f.from]; i < t.end(f.to-1); i++ {
			out.at[i] += f.at
		}
	}
	return &out
}
