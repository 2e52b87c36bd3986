package returned

import (
	"cmp"
	"slices"

	"garner/cull"
)

// merge ties a picture that names several frames, one by one, as what it was put
// together of. They have to be of one moment, or answered as material, or named by
// their documents: a list of other names is no merge.
func (c *judging) merge(several set) bool {
	if len(several) < 2 {
		return false
	}
	seen, kin := 0, true
	for _, f := range several {
		if c.otherBody(c.p, &c.frames[f]) != "" {
			return false
		}
		if c.like.says(c.index, f) != against {
			seen++
		}
		kin = kin && c.frames[f].Moment == c.frames[several[0]].Moment
	}
	for _, one := range c.claims { // what else is said has to fit
		if len(one.frames.and(several)) == 0 {
			return false
		}
	}
	if seen == 0 || !kin {
		return false
	}
	c.t.State, c.t.Frames = Tied, c.ids(c.leadFirst(several))
	c.t.Why = []string{"it names the frames that it was put together of"}
	return true
}

// mergeOf is the frames of the merge that a frame is of, the lead first: its moment's,
// as far as they were answered yes or part. nil = it is of none.
func (x *index) mergeOf(f int) []int {
	var lead, parts []int
	for _, g := range x.moments[x.frames[f].Moment] {
		switch x.frames[g].Answer {
		case cull.Yes:
			lead = append(lead, g)
		case cull.Part:
			parts = append(parts, g)
		}
	}
	if len(parts) == 0 || len(lead) > 1 {
		return nil
	}
	all := append(lead, parts...)
	if !slices.Contains(all, f) {
		return nil
	}
	return all
}

// material is the lead of the merge that all of some frames are of.
func (x *index) material(fs set) (lead int, ok bool) {
	all := x.mergeOf(fs[0])
	if len(all) < 2 {
		return 0, false
	}
	for _, f := range fs {
		if !slices.Contains(all, f) {
			return 0, false
		}
	}
	return all[0], true
}

// leadFirst puts what was kept before what is material, each in the layout's order.
func (x *index) leadFirst(fs set) []int {
	rank := func(f int) int {
		switch x.frames[f].Answer {
		case cull.Yes:
			return 0
		case cull.Part:
			return 1
		}
		return 2
	}
	out := slices.Clone([]int(fs))
	slices.SortStableFunc(out, func(a, b int) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(x.frames[a].Place, x.frames[b].Place))
	})
	return out
}
