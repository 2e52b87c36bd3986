package testterm

import (
	"maps"
	"slices"
)

// Clone returns a copy that later writes don't change. It answers nothing and
// calls no hook.
func (g *Grid) Clone() *Grid {
	c := *g
	c.parser.to = &c
	c.parser.part = slices.Clone(g.parser.part)
	c.parser.data = slices.Clone(g.parser.data)
	c.parser.seq.params, c.parser.groups = nil, nil
	c.modes, c.tabs = maps.Clone(g.modes), maps.Clone(g.tabs)
	c.complaints = slices.Clone(g.complaints)
	c.loading.data = slices.Clone(g.loading.data)
	c.send, c.OnString = nil, nil
	for i, s := range g.screens {
		lines := make([][]Cell, len(s.lines))
		for r, line := range s.lines {
			lines[r] = slices.Clone(line)
		}
		store := *s.images
		store.images = nil
		for _, im := range s.images.images { // pixels never change, so they are shared
			one := *im
			one.Placements = slices.Clone(im.Placements)
			store.images = append(store.images, &one)
		}
		s.lines, s.keys, s.images = lines, slices.Clone(s.keys), &store
		c.screens[i] = s
	}
	return &c
}
