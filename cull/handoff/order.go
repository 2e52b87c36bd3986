package handoff

import (
	"cmp"
	"slices"
	"time"

	"garner/cull"
)

// dayOrder gives every frame of the job its place in the day, from 0: by corrected
// time, which the layout leaves where look-alikes stand beside each other or a
// person joined what was taken apart. Frames of which material for a merge is taken
// stay together all the same, from the first of them on, so that sorting by name
// puts the material beside its lead. A frame without a time follows the one before
// it in the layout.
func (s *state) dayOrder() map[cull.ID]int {
	together := map[int]bool{} // moments
	for _, p := range s.layout.Places {
		if p.Kind == cull.Series || s.answer(p.Frame) == cull.Part {
			together[p.Moment] = true
		}
	}
	type turn struct {
		id cull.ID
		at time.Time
	}
	turns := make([]turn, len(s.layout.Places))
	begin := map[int]time.Time{} // of the moments that stay together
	var last time.Time
	for i, p := range s.layout.Places {
		if p.Corrected.Known() {
			last = p.Corrected.Wall
		}
		turns[i] = turn{p.Frame, last}
		if together[p.Moment] {
			if at, ok := begin[p.Moment]; !ok || last.Before(at) {
				begin[p.Moment] = last
			}
		}
	}
	for i, p := range s.layout.Places {
		if at, ok := begin[p.Moment]; ok {
			turns[i].at = at
		}
	}
	moment := func(t turn) int {
		if m := s.place[t.id].Moment; together[m] {
			return m
		}
		return -1
	}
	// Of one time, frames that stay together come after those that stand alone;
	// apart from that the layout's order remains.
	slices.SortStableFunc(turns, func(a, b turn) int { return cmp.Or(a.at.Compare(b.at), cmp.Compare(moment(a), moment(b))) })
	order := make(map[cull.ID]int, len(turns))
	for i, t := range turns {
		order[t.id] = i
	}
	return order
}
