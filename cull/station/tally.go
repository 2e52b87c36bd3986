package station

import "garner/cull"

// tally is what the whole job amounts to in the pass that is walked. It takes a
// look at every frame, so it is kept until a decision or a layout changes it; the
// cursor moves without it.
type tally struct {
	of       tallied
	counts   cull.Counts
	spans    []Span // one for each scene; none is Here
	position []int  // by place: the frame's number among those asked about, from 1; 0 = not asked about
	inSpan   []int  // by place: its index in its span
}

// tallied is what a tally depends on.
type tallied struct {
	seq     uint64
	layouts int
	pass    string
}

// reckon returns the tally as things stand.
func (d *Desk) reckon() *tally {
	of := tallied{d.session.LastSeq(), d.layouts, d.session.CursorPass()}
	if d.tally.position != nil && d.tally.of == of {
		return &d.tally
	}
	l := d.session.Layout()
	t := tally{of: of, spans: make([]Span, len(l.Scenes)), position: make([]int, len(l.Places)), inSpan: make([]int, len(l.Places))}
	for i, s := range l.Scenes {
		t.spans[i] = Span{Name: s.Name, Here: -1}
	}
	for i, p := range l.Places {
		var s *Span // nil: of a layout that makes no sense
		if p.Scene >= 0 && p.Scene < len(t.spans) {
			s = &t.spans[p.Scene]
			t.inSpan[i] = len(s.Answers)
		}
		if !d.session.Eligible(of.pass, p.Frame) {
			continue
		}
		a := d.session.Decision(of.pass, p.Frame).Answer
		if s != nil {
			s.Answers = append(s.Answers, a)
		}
		t.counts.Add(a, 1)
		t.position[i] = t.counts.All()
	}
	d.tally = t
	return &d.tally
}
