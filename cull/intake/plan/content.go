package plan

import (
	"path"
	"slices"
)

// findContents finds the pictures of which the job, or an earlier step, has the
// content. A picture is known by its content wherever it lies and whatever it is
// called.
func (p *planner) findContents() {
	first := map[content]*file{}
	for _, f := range p.files {
		if f.done || f.shot == nil || !f.readable() {
			continue
		}
		c := f.content()
		if h := bestKnown(f, p.known[c]); h != nil {
			f.leader = h
			continue
		}
		if l := first[c]; l != nil {
			f.first = l
			continue
		}
		first[c] = f
	}
}

// bestKnown chooses among the job's files of one content: one that is not aside,
// that is no clip's, of the same name, the first.
func bestKnown(f *file, list []*held) *held {
	var best *held
	rank := -1
	for _, h := range list[:min(len(list), maxCompared)] {
		r := 0
		if !h.aside && !h.damaged {
			r += 4
		}
		if !inClips(h.key) {
			r += 2
		}
		if path.Base(h.key) == f.key {
			r++
		}
		if r > rank {
			best, rank = h, r
		}
	}
	return best
}

// isKnown notes that a file's content is, or will be, where h is.
func (p *planner) isKnown(f *file, h *held) {
	f.done, f.leader = true, h
	st := &p.steps[f.step]
	st.Action = Known
	if h.step >= 0 && h.step < f.step {
		st.After = h.step
	}
}

// settleOthers finds, for the files of objects without a picture, the files that
// answer for them: first those at the same place, then those of the same name,
// then, if they are large, any.
func (p *planner) settleOthers(source int, objects []*object) {
	for kind, keyOf := range []func(o *object, f *file) string{
		func(o *object, f *file) string {
			return withoutRound(join(p.dirKey(o, 1), f.key))
		},
		func(o *object, f *file) string { return f.key },
		func(o *object, f *file) string { return "" },
	} {
		for _, o := range objects {
			if o.lead() != nil {
				continue
			}
			for _, f := range o.files {
				if f.done || !f.readable() || kind == 2 && f.src.Size < smallest {
					continue
				}
				if h := p.answers.find(sameKey{"pnc"[kind], false, f.content(), keyOf(o, f)}, source); h != nil {
					h.answered = source + 1
					p.isKnown(f, h)
				}
			}
		}
	}
}

// settleCompanions finds the companions of a picture in the object's place, else
// beside the pictures of its exposure: under their own name, or under the name that the picture has there.
// Equal ones elsewhere belong to other pictures.
func (p *planner) settleCompanions(o *object, anchors, equal []*held) {
	for _, f := range o.files {
		if f.done || f.shot != nil || !f.readable() {
			continue
		}
		h := p.atHome(o, f, anchors)
		if h == nil {
			h = p.beside(o, f, anchors, equal)
		}
		if h != nil {
			h.answered = o.source + 1
			p.isKnown(f, h)
		}
	}
}

func (p *planner) beside(o *object, f *file, anchors, equal []*held) *held {
	at := func(a *held, name string) *held {
		h := p.taken.files[join(a.dirKey(), name)]
		if h != nil && h.hasEnds && h.content == f.content() && h.answers(o.source) {
			return h
		}
		return nil
	}
	for _, a := range anchors {
		if h := at(a, f.key); h != nil {
			return h
		}
	}
	for _, a := range equal {
		name := a.stemKey() // the picture's there
		if stemOf(f.key) != o.stems[0] {
			name = path.Base(a.key) // IMG_0001.CR3.xmp
		}
		if h := at(a, name+path.Ext(f.key)); h != nil {
			return h
		}
	}
	return nil
}

// atHome is a companion in the object's place beside which no other picture lies:
// its own does, or is not there yet, or somewhere else.
func (p *planner) atHome(o *object, f *file, anchors []*held) *held {
	k := sameKey{'p', false, f.content(), withoutRound(join(p.dirKey(o, 1), f.key))}
	h := p.answers.find(k, o.source)
	if h == nil || h.aside {
		return h
	}
	for _, other := range p.taken.stems[place{h.dirKey(), h.stemKey()}] {
		if other.picture() && !slices.Contains(anchors, other) {
			return nil
		}
	}
	return h
}
