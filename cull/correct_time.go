package cull

import (
	"cmp"
	"slices"
	"time"
)

// inTime puts the places into the order that they would have without look-alikes,
// in the scenes that a correction is about: sets are taken apart, so that what is
// cut, joined or let go finds its place in time. Layout puts together again what is
// still a set. Only moments that stood elsewhere because of their set move.
func (r *regroup) inTime() {
	places := r.base.Places
	r.order = make([]int, len(places))
	about := map[int]bool{}
	for _, i := range r.at {
		if i >= 0 {
			about[places[i].Scene] = true
		}
	}
	for i := range r.order {
		r.order[i] = i
	}
	for from := 0; from < len(places); {
		to, sets := from, false
		for to < len(places) && places[to].Scene == places[from].Scene {
			sets = sets || places[to].Alike != 0
			to++
		}
		if sets && about[places[from].Scene] {
			unroll(places, r.order[from:to])
		}
		from = to
	}
}

// unroll sorts the places of one scene. A moment that is the first of its set, or
// of none, stays; to the others its time is that of the latest so far, since clocks
// may be unknown and an order that is walked may be older than the times.
func unroll(places []Place, order []int) {
	type key struct {
		at    time.Time
		first int // place of the moment's first frame
	}
	keys := make([]key, 0, len(order))
	base := order[0]
	first := map[int]time.Time{} // set → key of its first moment
	var latest time.Time
	for _, i := range order {
		p := places[i]
		if i > base && places[i-1].Moment == p.Moment {
			keys = append(keys, keys[len(keys)-1])
			continue
		}
		at, later := first[p.Alike]
		if p.Alike == 0 || !later {
			if p.Corrected.Wall.After(latest) {
				latest = p.Corrected.Wall
			}
			at = latest
			if p.Alike != 0 {
				first[p.Alike] = at
			}
		} else if p.Corrected.Wall.After(at) {
			at = p.Corrected.Wall
		}
		keys = append(keys, key{at, i})
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := keys[i-base], keys[j-base]
		return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.first, b.first), cmp.Compare(i, j))
	})
}
