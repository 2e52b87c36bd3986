package plan

// finish fills in what is only known when every file has its place: where files
// go whose content another step brings, and who can stand in for whom.
func (p *planner) finish() {
	for _, f := range p.files {
		st := &p.steps[f.step]
		if st.Action == Leave || f.held != nil {
			continue
		}
		st.To = f.place().path
	}
	p.standIns()
	for i := range p.steps {
		st := &p.steps[i]
		if f := p.files[i]; !f.readable() && st.Twin >= 0 {
			st.Notes, st.Other = append(st.Notes, Healed), p.files[st.Twin].ref()
		}
	}
}

// standIns finds for each file one of equal content on another source.
func (p *planner) standIns() {
	type pair struct{ first, other *file } // of two sources
	equal := map[content]*pair{}
	for _, f := range p.files {
		if f.shot == nil || !f.readable() || p.steps[f.step].Action == Leave {
			continue
		}
		e := equal[f.content()]
		switch {
		case e == nil:
			equal[f.content()] = &pair{first: f}
		case e.other == nil && e.first.source != f.source:
			e.other = f
		}
	}
	for _, f := range p.files {
		st := &p.steps[f.step]
		if st.Action == Leave || st.Twin >= 0 {
			continue
		}
		if f.stand != nil && !f.readable() && p.steps[f.stand.step].Action != Leave {
			st.Twin = f.stand.step
			continue
		}
		if f.shot != nil && f.readable() {
			e := equal[f.content()]
			if e.first.source != f.source {
				st.Twin = e.first.step
			} else if e.other != nil {
				st.Twin = e.other.step
			}
			continue
		}
		if f.shot == nil && st.Action == Known && st.After >= 0 && f.readable() && p.files[st.After].readable() {
			st.Twin = st.After
			if o := &p.steps[st.After]; o.Twin < 0 {
				o.Twin = f.step
			}
		}
	}
}

// place is where the content of a file is or will be, nil while that is not known.
func (f *file) place() *held {
	for ; f != nil; f = f.first {
		if f.held != nil {
			return f.held
		}
		if f.leader != nil {
			return f.leader
		}
	}
	return nil
}
