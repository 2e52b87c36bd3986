package station

import (
	"slices"

	"garner/cull"
	"garner/cull/evidence"
	"garner/cull/job"
)

// Evidence says what of the measurements is wanted. The zero value is the usual:
// frames are measured and marked, and the cursor goes where it always goes.
type Evidence struct {
	NoMeasuring bool // nothing is measured in the background
	NoMarks     bool // the rungs say nothing of what was measured
	AtFavourite bool // a moment is entered at the frame that the measurements favour
}

// measured is what was measured of the frames to help the eye.
type measured struct {
	of      map[cull.ID]cull.Measures
	read    bool // what the job had was asked for
	reading bool
	number  int             // grows with what is known
	changed map[cull.ID]int // what it was when something became known of a frame
	moments map[int]*moment // compared lately
}

// mostMoments is how many comparisons are kept.
const mostMoments = 256

// measuredNews is what was measured by now, or what the job had.
type measuredNews struct {
	of    map[cull.ID]cull.Measures
	faces job.Consent
	first bool // it is all that the job has
	err   error
}

// readMeasures brings what was measured before, once there is something to see.
func (d *Desk) readMeasures() {
	if d.measured.read {
		return
	}
	d.measured.read, d.measured.reading = true, true
	d.beside(func() {
		n := measuredNews{first: true}
		if n.of, n.err = d.job.Measures(); n.err == nil {
			n.faces, n.err = d.job.Faces()
		}
		d.mail.put(func(news *News) { news.measured = addMeasured(news.measured, n) })
	})
}

// takeMeasured takes in what was measured. What came for a frame meanwhile is newer
// than what the job had when it was asked.
func (d *Desk) takeMeasured(n measuredNews) {
	m := &d.measured
	if n.first {
		m.reading = false
		if n.err != nil {
			d.Murmur("what was measured before could not be read: %s", cause(n.err))
			return
		}
		if !d.faces.answered { // what was said at this desk is later
			d.faces.Consent = n.faces
		}
	}
	if m.of == nil {
		m.of, m.changed = make(map[cull.ID]cull.Measures, len(n.of)), make(map[cull.ID]int, len(n.of))
	}
	for id, found := range n.of {
		if now, ok := d.aliases[id]; ok {
			id = now
		}
		if !n.first && !m.reading && !d.faces.Yes {
			found.Faces = cull.Faces{} // they were found before somebody said no
		}
		m.of[id] = over(m.of[id], found, !n.first)
		m.changed[id] = m.number + 1
	}
	m.number++
	if n.first && !d.faces.Yes {
		d.withdrawFaces() // somebody said no while it was read
	}
}

// over lays what is known of a frame together: of a part that both have, the newer
// one.
func over(was, found cull.Measures, newer bool) cull.Measures {
	if found.Focus.Known() && (newer || !was.Focus.Known()) {
		was.Focus = found.Focus
	}
	if found.Light.Known() && (newer || !was.Light.Known()) {
		was.Light = found.Light
	}
	if found.Faces.Known() && (newer || !was.Faces.Known()) {
		was.Faces = found.Faces
	}
	return was
}

// forgetMeasures lets go of what was measured in files that a frame has no longer.
func (d *Desk) forgetMeasures(id cull.ID) {
	if _, ok := d.measured.of[id]; ok {
		delete(d.measured.of, id)
		d.measured.number++
		d.measured.changed[id] = d.measured.number
	}
	if d.loupe.face.of == id {
		d.leaveFace()
	}
}

// moment is what the measurements say of the frames of a moment beside each other.
type moment struct {
	evidence.Moment
	persons map[cull.ID][]int       // of each frame's faces: the same number is the same face
	eyes    map[cull.ID][]cull.Eyes // of each frame's faces, beside those of the other frames

	as comparedAs // when it was looked at last
	of comparedOf // what was compared
}

// comparedAs is what can change what there is to compare.
type comparedAs struct {
	tallied
	number int
}

// comparedOf is what a comparison depends on.
type comparedOf struct {
	frames []cull.ID
	asked  []bool
	kind   cull.MomentKind
	newest int // the last of the frames' changes
}

func (o comparedOf) same(b comparedOf) bool {
	return o.kind == b.kind && o.newest == b.newest && slices.Equal(o.frames, b.frames) && slices.Equal(o.asked, b.asked)
}

// compared compares the frames of a frame's moment, as far as the pass asks about
// them. It is called many times for each key, and takes its time only where something
// has changed.
func (d *Desk) compared(id cull.ID) *moment {
	p, ok := d.session.Place(id)
	m := &d.measured
	if !ok || len(m.of) == 0 {
		return &moment{}
	}
	as := comparedAs{d.reckon().of, m.number}
	was := m.moments[p.Moment]
	if was != nil && was.as == as {
		return was
	}
	of := d.toCompare(id, p.Kind)
	if was == nil || !was.of.same(of) {
		if m.moments == nil || len(m.moments) >= mostMoments {
			m.moments = map[int]*moment{}
		}
		was = d.compare(of)
		m.moments[p.Moment] = was
	}
	was.as = as
	return was
}

func (d *Desk) toCompare(id cull.ID, kind cull.MomentKind) comparedOf {
	of := comparedOf{frames: d.session.Moment(id), kind: kind}
	for _, f := range of.frames {
		of.asked = append(of.asked, d.session.Eligible(d.session.CursorPass(), f))
		of.newest = max(of.newest, d.measured.changed[f])
	}
	return of
}

// compare does so. In a series the frames are meant to differ: there none is named.
func (d *Desk) compare(of comparedOf) *moment {
	m := &moment{of: of}
	var in []evidence.Measured
	var faces []cull.Faces
	known := false
	for i, f := range of.frames {
		found, ok := d.measured.of[f]
		known = known || ok
		faces = append(faces, found.Faces)
		if of.asked[i] {
			in = append(in, evidence.Measured{ID: f, Measures: found})
		}
	}
	if !known {
		return m
	}
	m.Moment, m.persons, m.eyes = evidence.Compare(in), map[cull.ID][]int{}, map[cull.ID][]cull.Eyes{}
	if of.kind == cull.Series || len(in) < 2 {
		m.Sharpest, m.Favourite, m.Why = "", "", ""
		for i := range m.Rungs {
			m.Rungs[i].Sharpest = false
		}
	}
	persons, eyes := evidence.SameFaces(faces), evidence.EyesAlong(faces)
	for i, f := range of.frames {
		m.persons[f], m.eyes[f] = persons[i], eyes[i]
	}
	return m
}

// sees is what the measurements say of a frame beside those of its moment.
func (d *Desk) sees(id cull.ID) evidence.Rung {
	for _, r := range d.compared(id).Rungs {
		if r.ID == id {
			return r
		}
	}
	return evidence.Rung{ID: id}
}

// WhyOfMoment says why a frame of the moment under the cursor is named, or why none
// is; "" = there is nothing to be said of it.
func (d *Desk) WhyOfMoment() string {
	if d.o.Evidence.NoMarks {
		return ""
	}
	return d.compared(d.session.Cursor()).Why
}
