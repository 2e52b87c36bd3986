package returned

import (
	"garner/cull"
)

// mostClose is of how many frames at most one is told by a closer look.
const mostClose = 24

// fitsBest is why a picture is tied by a closer look.
const fitsBest = "wherever the frames that it looks like differ, it is as this one"

// doubtful is the frames that a picture may show by its look: those it looks like, the
// others of their moments, and what is hardly further. Fewer than two are no doubt; one
// of them that cannot be compared, or very many, are too much of it: where the right
// one is missing, its neighbour fits best. What a series came to is no frame of it.
func (x *index) doubtful(l *likeness) set {
	m := map[int]bool{}
	for moment := range l.moments {
		for _, f := range x.moments[moment] {
			if !x.frames[f].Looked || x.frames[f].Series {
				return nil
			}
			m[f] = true
		}
	}
	for f, bits := range l.near {
		if len(m) > 0 && bits < l.best+alikeSame {
			m[f] = true
		}
	}
	if len(m) < 2 || len(m) > mostClose {
		return nil
	}
	return setOf(m)
}

// lookedAt reports whether these are the frames that a closer look was taken at.
func (x *index) lookedAt(p *Picture, fs set) bool {
	if p.Close.Method != closeMethod || len(p.Close.Among) != len(fs) {
		return false
	}
	for _, id := range p.Close.Among {
		if f, ok := x.byID[id]; !ok || !fs.has(f) {
			return false
		}
	}
	return true
}

// closest is the frame that a closer look named, if it was taken at all that the
// picture may show.
func (c *judging) closest() (int, bool) {
	if c.p.Close.Shows == "" || !c.lookedAt(c.p, c.doubtful(c.like)) {
		return 0, false
	}
	f, ok := c.byID[c.p.Close.Shows]
	return f, ok && c.otherBody(c.p, &c.frames[f]) == ""
}

// rank is the place of a frame in what a closer look found.
func (c *judging) rank(f int) int {
	for i, id := range c.p.Close.Among {
		if id == c.frames[f].ID {
			return i
		}
	}
	return len(c.p.Close.Among)
}

// closer is the frames that a closer look should be taken at; nil = none, or it was.
func (x *index) closer(p *Picture, t *Tie) set {
	if p.Said || t.State != Open {
		return nil
	}
	l := x.likeness(p)
	fs := x.doubtful(&l)
	if len(fs) == 0 || x.lookedAt(p, fs) {
		return nil
	}
	return fs
}

// idsOf gives the ids of frames.
func (x *index) idsOf(fs set) (ids []cull.ID) {
	for _, f := range fs {
		ids = append(ids, x.frames[f].ID)
	}
	return ids
}
