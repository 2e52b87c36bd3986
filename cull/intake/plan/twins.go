package plan

// verdict says where a picture is to go.
type verdict uint8

const (
	putHome   verdict = iota // to its own place
	putBeside                // too, but the exposure's own file may have the name
	putAside                 // it is the damaged one of two twins, or may be
)

// judge compares a picture whose content is new with the files of its exposure
// that have a place.
func (p *planner) judge(f *file, same []*held) verdict {
	var twin, apart *held // at home and aside
	for _, h := range same {
		switch {
		case !f.shot.Twin(*h.shot):
		case h.aside:
			if apart == nil {
				apart = h
			}
		case twin == nil || twin.damaged && !h.damaged:
			twin = h
		}
	}
	if twin != nil {
		return p.twins(f, twin)
	}
	st := &p.steps[f.step]
	if apart != nil {
		if f.readable() && apart.hasEnds && p.damaged(apart, f) < 0 {
			st.Notes, st.Other = append(st.Notes, TwinBroken), apart.ref
		}
		return putHome
	}
	if v := versionOf(f, same); v != nil {
		st.Notes, st.Other = append(st.Notes, Version), v.ref
		return putBeside
	}
	return putHome
}

// twins decides between a picture and its twin, which has its place.
func (p *planner) twins(f *file, twin *held) verdict {
	st := &p.steps[f.step]
	if !f.readable() || !twin.hasEnds {
		if twin.ref.Source == f.source {
			return putHome // two files of one card that only look alike
		}
		p.linkUnread(f, twin)
		return putHome
	}
	switch by := p.damaged(twin, f); {
	case by < 0 && twin.step >= 0:
		p.moveAside(twin, f)
		st.Notes, st.Other = append(st.Notes, TwinBroken), twin.ref
		return putHome
	case by < 0: // nothing of the job is ever moved
		st.Notes, st.Other = append(st.Notes, TwinBroken), twin.ref
		return putBeside
	case by > 0:
		st.Notes, st.Other = append(st.Notes, TwinBroken), twin.ref
		if twin.step >= 0 {
			whole := &p.steps[twin.step]
			whole.Notes, whole.Other = append(whole.Notes, TwinBroken), f.ref()
			st.Twin = twin.step
		}
	default:
		st.Notes, st.Other = append(st.Notes, TwinUnsure), twin.ref
	}
	return putAside
}

// damaged says which of two twins is damaged: below 0 the first, above 0 the
// second. One in which no picture could be found is.
func (p *planner) damaged(h *held, f *file) int {
	switch {
	case h.damaged:
		return -1
	case h.broken && !f.broken:
		return -1
	case f.broken && !h.broken:
		return 1
	case p.o.Damaged == nil:
		return 0
	}
	return p.o.Damaged(h.ref, f.ref())
}

// moveAside takes the place of a step whose file is the damaged twin of f.
func (p *planner) moveAside(h *held, f *file) {
	p.taken.remove(h)
	st := &p.steps[h.step]
	h.aside = true
	h.path = p.asidePath(h.home)
	p.taken.put(h)
	st.Action, st.To, st.Other, st.Twin = Aside, h.path, f.ref(), f.step
	st.Notes = append(without(st.Notes, TwinBroken, NewRound, Version), TwinBroken)
}

func without(notes []Note, unwanted ...Note) []Note {
	var left []Note
next:
	for _, n := range notes {
		for _, u := range unwanted {
			if n == u {
				continue next
			}
		}
		left = append(left, n)
	}
	return left
}

// linkUnread ties a file to its twin where one of the two could not be read: both
// are meant for one place.
func (p *planner) linkUnread(f *file, twin *held) {
	st := &p.steps[f.step]
	p.isKnown(f, twin)
	if !f.readable() && twin.step >= 0 {
		st.Action = Copy // it will be tried once more
	}
	switch {
	case twin.step < 0:
	case f.readable():
		p.steps[twin.step].Twin = f.step
	case twin.hasEnds:
		st.Twin = twin.step
	}
}

// versionOf finds the file of which f is another version: of the same class, but
// with other bytes; or of another class and written by other software, as a raw
// and the JPEG that an editor made of it.
func versionOf(f *file, same []*held) *held {
	var other *held
	for _, h := range same {
		switch {
		case h.aside:
		case h.shot.Class == f.shot.Class:
			return h
		case other == nil && h.shot.Shot.Software != "" && f.shot.Shot.Software != "" && h.shot.Shot.Software != f.shot.Shot.Software:
			other = h
		}
	}
	return other
}
