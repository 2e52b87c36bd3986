package returned

import (
	"cmp"
	"fmt"
	"slices"

	"garner/cull"
)

// judge weighs what is known of one picture.
func (x *index) judge(p *Picture, t *Tie) {
	l := x.likeness(p)
	documents, ingredients := x.documents(p)
	sources, fromSources := x.sources(p)
	names, fromNames, strange := x.names(p)
	c := &judging{index: x, p: p, t: t, like: &l}
	for _, one := range []claim{documents, sources, x.times(p), names} {
		if len(one.frames) > 0 {
			c.claims = append(c.claims, one)
		}
	}
	if strange {
		c.open(c.all(), "its name has the letter of a body that has no frame of this name")
		return
	}
	for _, several := range []set{ingredients, fromSources, fromNames} {
		if c.merge(several) {
			return
		}
	}
	c.decide()
}

type judging struct {
	*index
	p      *Picture
	t      *Tie
	like   *likeness
	claims []claim
}

func (c *judging) decide() {
	if len(c.claims) == 0 {
		c.byLikeness()
		return
	}
	fs := c.claims[0].frames
	for _, one := range c.claims[1:] {
		fs = fs.and(one.frames)
	}
	if len(fs) == 0 {
		c.open(c.all(), c.contradiction())
		return
	}
	left, reason := c.admitted(fs)
	switch {
	case len(left) == 0:
		c.open(fs, reason)
	case len(left) == 1:
		c.one(left[0])
	default:
		c.several(left)
	}
}

// admitted is the frames that neither their bodies nor likeness speak against, and
// why the last one went.
func (c *judging) admitted(fs set) (left set, reason string) {
	for _, f := range fs {
		if why := c.otherBody(c.p, &c.frames[f]); why != "" {
			reason = why
			continue
		}
		if c.like.says(c.index, f) == against {
			reason = fmt.Sprintf("%s, but it looks like %s", c.claimed(f), c.frames[c.nearest()].Name)
			continue
		}
		left = append(left, f)
	}
	return left, reason
}

// one ties a picture to the one frame that is left, if that is enough.
func (c *judging) one(f int) {
	supported := c.like.says(c.index, f) == supports
	why := c.reasons(f)
	enough := len(c.claims) > 1
	for _, one := range c.claims {
		enough = enough || one.firm
	}
	if supported {
		enough = true
		why = append(why, "it looks like it")
	}
	if !enough && c.frames[f].Looked && len(c.p.Likes) > 0 && c.like.bits(f) < unlikely {
		enough = true // a name, and nothing against it
		why = append(why, "it looks somewhat like it")
	}
	if !enough {
		c.open(set{f}, c.claimed(f)+", and nothing else says so")
		return
	}
	c.tie(f, why)
}

// several is left where what is known names more frames than one.
func (c *judging) several(fs set) {
	if lead, ok := c.material(fs); ok {
		c.tie(lead, c.reasons(lead))
		return
	}
	if f, ok := c.closest(); ok {
		if !fs.has(f) {
			c.open(fs, c.claimed(fs[0])+", but it fits on "+c.frames[f].Name)
			return
		}
		c.tie(f, append(c.reasons(f), fitsBest))
		return
	}
	c.open(fs, fmt.Sprintf("%d frames may be meant", len(fs)))
}

// byLikeness is for a picture that says nothing of itself.
func (c *judging) byLikeness() {
	l := c.like
	if len(l.like) == 0 {
		why := "nothing in it says where it comes from, and it looks like no frame"
		if len(c.p.Likes) == 0 {
			why = "nothing in it says where it comes from, and it was not compared with the frames"
		}
		c.open(nil, why)
		return
	}
	left, reason := c.admitted(l.like)
	if len(left) < len(l.like) {
		c.open(l.like, reason)
		return
	}
	if lead, ok := c.material(left); ok {
		c.tie(lead, []string{"it looks like these frames"})
		return
	}
	if f, ok := l.alone(c.index); ok {
		c.tie(f, []string{"it looks like this frame and like no other"})
		return
	}
	if f, ok := c.closest(); ok {
		c.tie(f, []string{fitsBest})
		return
	}
	c.open(left, "it looks like several frames, and nothing says which")
}

// tie ties a picture to a frame, and to the rest of a merge if the frame is of one.
func (c *judging) tie(f int, why []string) {
	c.t.State, c.t.Why = Tied, why
	c.t.Frames = []cull.ID{c.frames[f].ID}
	if all := c.mergeOf(f); len(all) > 1 {
		c.t.Frames = c.ids(all)
		c.t.Why = append(c.t.Why, "its moment was answered as material for one picture")
	}
}

// open leaves a picture open.
func (c *judging) open(fs set, why ...string) {
	c.t.State, c.t.Why = Open, why
	near := slices.Clone(fs)
	for _, f := range c.like.like {
		if !fs.has(f) {
			near = append(near, f)
		}
	}
	// Of a burst editors get what was kept, so that comes first.
	dropped := func(f int) int {
		if c.frames[f].Answer == cull.Yes {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(near, func(a, b int) int {
		return cmp.Or(-cmp.Compare(c.votes(a), c.votes(b)), cmp.Compare(dropped(a), dropped(b)), cmp.Compare(c.rank(a), c.rank(b)),
			cmp.Compare(c.like.bits(a), c.like.bits(b)), cmp.Compare(c.frames[a].Place, c.frames[b].Place))
	})
	c.t.Nearest = c.ids(near[:min(len(near), mostNearest)])
}

// votes is how many claims name a frame.
func (c *judging) votes(f int) (n int) {
	for _, one := range c.claims {
		if one.frames.has(f) {
			n++
		}
	}
	return n
}

func (c *judging) ids(fs []int) (ids []cull.ID) {
	for _, f := range fs {
		ids = append(ids, c.frames[f].ID)
	}
	return ids
}

// nearest is the frame that a picture looks like most.
func (c *judging) nearest() int {
	return slices.MinFunc(c.like.like, func(a, b int) int {
		return cmp.Or(cmp.Compare(c.like.bits(a), c.like.bits(b)), cmp.Compare(c.frames[a].Place, c.frames[b].Place))
	})
}

// all is every frame that a claim names.
func (c *judging) all() set {
	m := map[int]bool{}
	for _, one := range c.claims {
		for _, f := range one.frames {
			m[f] = true
		}
	}
	return setOf(m)
}
