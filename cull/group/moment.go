package group

import (
	"slices"

	"garner/cull"
)

// moment is a run of one body's frames, in order.
type moment struct {
	kind   cull.MomentKind
	series cull.SeriesKind // of a moment of the kind Series
	frames []Frame
	first  int // place of the first frame in the order of all
}

// moments cuts ordered frames into moments, in the order of their first frames.
func moments(ordered []Frame, o Options) []moment {
	var bodies []string // in order of appearance, so that nothing depends on a map's order
	runs := map[string][]int{}
	var out []moment
	for i, f := range ordered {
		if f.Body == "" {
			out = append(out, moment{kind: cull.Single, frames: ordered[i : i+1], first: i})
			continue
		}
		if runs[f.Body] == nil {
			bodies = append(bodies, f.Body)
		}
		runs[f.Body] = append(runs[f.Body], i)
	}
	for _, body := range bodies {
		at := runs[body]
		run := make([]Frame, len(at))
		for k, i := range at {
			run[k] = ordered[i]
		}
		for from := 0; from < len(run); {
			to, kind := momentEnd(run, from, o)
			m := moment{kind: kind, frames: run[from:to], first: at[from]}
			if kind == cull.Series {
				m.series = cull.Bracket
			}
			out = append(out, m)
			from = to
		}
	}
	slices.SortFunc(out, func(a, b moment) int { return a.first - b.first })
	return out
}

// momentEnd finds the moment that begins at run[from]. A burst ends where a
// bracket begins, so that material for a merge is not decided with its burst.
func momentEnd(run []Frame, from int, o Options) (to int, kind cull.MomentKind) {
	if to = bracketEnd(run, from, o); to > from {
		return to, cull.Series
	}
	to = burstEnd(run, from, o)
	for k := from + 1; k < to; k++ {
		if bracketEnd(run, k, o) > k {
			to = k
		}
	}
	if to-from == 1 {
		return to, cull.Single
	}
	return to, cull.Burst
}
