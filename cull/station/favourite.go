package station

import "garner/cull"

// favourite is the frame at which a moment is entered that one is led to: the one that
// the measurements favour, if that is wanted and the key would not rather lead to
// another that is open.
func (d *Desk) favourite(id cull.ID) cull.ID {
	if !d.o.Evidence.AtFavourite || id == "" {
		return id
	}
	f := d.compared(id).Favourite
	pass := d.session.CursorPass()
	if f == "" || !d.session.Walks(f) {
		return id
	}
	if d.session.Decision(pass, id).Answer == cull.Open && d.session.Decision(pass, f).Answer != cull.Open {
		return id
	}
	return f
}

// entry is the frame that a key leads to which leads to a frame, be it in another
// moment.
func (d *Desk) entry(id cull.ID) cull.ID {
	here, _ := d.session.Place(d.session.Cursor())
	if p, ok := d.session.Place(id); !ok || p.Moment == here.Moment {
		return id
	}
	return d.favourite(id)
}

// enterMoment puts the cursor on the favourite of the moment that a key led into.
func (d *Desk) enterMoment(from cull.ID) {
	if !d.o.Evidence.AtFavourite || d.InFan() {
		return
	}
	was, ok1 := d.session.Place(from)
	now, ok2 := d.session.Place(d.session.Cursor())
	if !ok1 || !ok2 || was.Moment == now.Moment {
		return
	}
	if f := d.favourite(d.session.Cursor()); f != d.session.Cursor() {
		d.session.MoveTo(f)
	}
}

// finishMoment returns what is to be done once an answer was committed: who entered
// the moment in its middle goes on to what of it is still open before the next comes.
func (d *Desk) finishMoment(e cull.Entry) func() {
	if !d.o.Evidence.AtFavourite || d.InFan() || !answers(e) || e.Pass != d.session.CursorPass() {
		return func() {}
	}
	from := d.session.Cursor()
	frames := d.session.Moment(from)
	return func() {
		now, _ := d.session.Place(d.session.Cursor())
		was, _ := d.session.Place(from)
		if now.Moment == was.Moment {
			return
		}
		for _, id := range frames {
			if d.session.Walks(id) && d.session.Decision(e.Pass, id).Answer == cull.Open {
				d.session.MoveTo(id)
				return
			}
		}
		d.enterMoment(from)
	}
}
