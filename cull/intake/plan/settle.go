package plan

import (
	"path"
	"slices"
)

// maxMates bounds how many files of one object are compared with each other.
const maxMates = 16

// settle decides what becomes of the files of an object, and gives those a place
// that need one.
func (p *planner) settle(o *object) {
	var anchors []*held // files of the exposure that have a place
	var equal []*held   // those of them with the content of one of these
	plainMove := true   // moved to another round only because of its name
	var asides []*file
	for _, f := range o.files {
		if f.done || f.shot == nil {
			continue
		}
		if f.leader != nil || f.first != nil {
			if h := p.isEqual(f); h != nil {
				equal = append(equal, h)
			}
			if f.readable() {
				list := p.known[f.content()]
				equal = append(equal, list[:min(len(list), maxCompared)]...)
			}
			anchors = append(anchors, p.same(f)...)
			continue
		}
		same := p.same(f)
		anchors = append(anchors, same...)
		switch p.judge(f, append(same, mates(o, f)...)) {
		case putAside:
			asides = append(asides, f)
		case putBeside:
			plainMove = false
		}
	}
	anchors = append(anchors, equal...)
	p.settleCompanions(o, anchors, equal)
	for _, f := range o.files {
		if !f.done && f.silent() && f.stand == nil {
			if p.bySight(o, f, anchors) == putAside {
				asides = append(asides, f)
			}
		}
	}
	var open []*file
	for _, f := range o.files {
		if !f.done && !slices.Contains(asides, f) {
			open = append(open, f)
		}
	}
	r := p.roundFor(o, open, anchors)
	dir := p.dirOf(o, r)
	for _, f := range open {
		p.put(f, join(dir, f.name), false)
		if r > 1 && plainMove {
			p.noteRound(o, f, anchors)
		}
	}
	for _, f := range asides {
		p.put(f, join(dir, f.name), true)
	}
}

// mates are the pictures of f's exposure that come before it in its own object and
// are of another class: a raw with the JPEG that somebody made of it.
func mates(o *object, f *file) []*held {
	var out []*held
	for _, g := range o.files[:min(len(o.files), maxMates)] {
		if g == f {
			break
		}
		if g.shot != nil && g.shot.Class != f.shot.Class && f.shot.Same(*g.shot) {
			out = append(out, &held{ref: g.ref(), step: g.step, shot: g.shot})
		}
	}
	return out
}

// isEqual notes that a picture's content is known, and gives its place, which an
// earlier step that is settled later does not have yet.
func (p *planner) isEqual(f *file) *held {
	h := f.place()
	f.done = true
	st := &p.steps[f.step]
	st.Action = Known
	switch {
	case f.first != nil:
		st.After = f.first.step
	case h.step >= 0:
		st.After = h.step
	}
	return h
}

// dirOf is the folder of an object in a round.
func (p *planner) dirOf(o *object, r int) string {
	return p.taken.spell(join(roundName(topOf(o.letter), r), o.rel))
}

// put gives a file its place: at home, or aside under the path it would have had.
func (p *planner) put(f *file, home string, aside bool) {
	st := &p.steps[f.step]
	h := &held{ref: f.ref(), step: f.step, path: home, home: home, key: Fold(home), content: f.content(), hasEnds: f.readable(),
		shot: f.shot, aside: aside, broken: f.broken}
	st.Action = Copy
	if aside {
		h.path = p.asidePath(home)
		st.Action = Aside
	}
	st.To = h.path
	if _, changed := portablePath(f.src.Path); changed && (!p.sources[f.source].DCIM || f.name != path.Base(f.src.Path) || !inDCIM(f.src.Path)) {
		st.Notes = append(st.Notes, NewName)
	}
	f.held, f.done = h, true
	p.hold(h)
}

// noteRound says why a file goes to a later round: another exposure has the name,
// or what the job has under it is a picture no longer.
func (p *planner) noteRound(o *object, f *file, anchors []*held) {
	st := &p.steps[f.step]
	dir := p.dirKey(o, 1)
	if h := p.taken.files[join(dir, f.key)]; h != nil && h.broken && f.shot != nil && h.content.size == f.src.Size {
		st.Notes, st.Other = append(st.Notes, TwinBroken), h.ref
		return
	}
	st.Notes = append(st.Notes, NewRound)
	for _, h := range p.taken.stems[place{dir, o.stems[0]}] {
		if !slices.Contains(anchors, h) {
			st.Other = h.ref
			return
		}
	}
}

// bySight looks in the object's place for a file of the job that has the name and
// the size of one that says nothing.
func (p *planner) bySight(o *object, f *file, anchors []*held) verdict {
	beside := func(h *held) bool {
		return slices.ContainsFunc(anchors, func(a *held) bool { return a.dirKey() == h.dirKey() })
	}
	var found *held
	for i, h := range p.sights[withoutRound(join(p.dirKey(o, 1), f.key))] {
		if h.aside || h.content.size != f.src.Size || p.roundOfHeld(o, h) == 0 || len(anchors) > 0 && !beside(h) {
			continue
		}
		if found != nil || i >= maxCompared {
			return putHome // it may be any of them
		}
		found = h
	}
	switch {
	case found == nil || f.broken && !found.picture():
		return putHome
	case f.broken:
		st := &p.steps[f.step]
		st.Notes, st.Other = append(st.Notes, TwinBroken), found.ref
		return putAside
	}
	p.isKnown(f, found)
	return putHome
}
