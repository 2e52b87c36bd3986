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
		cutRun(run, o, func(from, to int, kind cull.MomentKind, series cull.SeriesKind) {
			out = append(out, moment{kind: kind, series: series, frames: run[from:to], first: at[from]})
		})
	}
	slices.SortFunc(out, func(a, b moment) int { return a.first - b.first })
	return out
}

// cutRun calls each with the moments of one body's frames. Series come first, and a
// burst ends where one begins, so that material for a merge is not decided with it.
func cutRun(run []Frame, o Options, each func(from, to int, kind cull.MomentKind, series cull.SeriesKind)) {
	burst := func(from, to int) {
		bursts(run[from:to], o, func(i, k int) {
			kind := cull.Burst
			if k-i == 1 {
				kind = cull.Single
			}
			each(from+i, from+k, kind, "")
		})
	}
	views := turns{run: run}
	from := 0
	for i := 0; i < len(run); {
		to, kind := seriesEnd(run, i, &views, o)
		if to == i {
			i++
			continue
		}
		burst(from, i)
		each(i, to, cull.Series, kind)
		i, from = to, to
	}
	burst(from, len(run))
}

// seriesEnd returns the end and kind of the series that begins at run[from], or
// from if none does. A group of people of whom the best faces are to be merged is
// not told from any other burst: a person joins those.
func seriesEnd(run []Frame, from int, views *turns, o Options) (int, cull.SeriesKind) {
	if to := bracketEnd(run, from, o); to > from {
		return to, cull.Bracket
	}
	if to := views.end(from); to > from {
		return to, cull.Panorama
	}
	return stackEnd(run, from), cull.FocusStack
}
