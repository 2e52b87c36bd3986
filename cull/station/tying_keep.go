package station

import (
	"errors"
	"slices"

	"garner/cull"
	"garner/cull/job"
)

// NotSeen says why nothing can be said of what is looked at; "" = it can: a key says
// something only of what was on the screen when it was pressed.
func (d *Tying) NotSeen() string {
	switch {
	case d.writing:
		return "nothing said: what was said before is still on its way to the disk"
	case !d.armed || !d.pressed.IsZero() && d.pressed.Before(d.armedAt):
		return "nothing said: picture and frame are not on the screen yet"
	}
	return ""
}

// Pick takes the frame under the cursor for a merge, or lets it go.
func (d *Tying) Pick() {
	id := d.frame()
	if why := d.NotSeen(); why != "" || id == "" {
		d.Refuse(why)
		return
	}
	d.settled()
	if i := slices.Index(d.picked, id); i >= 0 {
		d.picked = slices.Delete(d.picked, i, i+1)
	} else {
		d.picked = append(d.picked, id)
	}
	d.version++
}

// Tie says that the picture shows the frame under the cursor, or where some are picked
// that it is a merge of those.
func (d *Tying) Tie() {
	ids := slices.Clone(d.picked)
	if len(ids) == 0 && d.frame() != "" {
		ids = []cull.ID{d.frame()}
	}
	if len(ids) == 0 {
		d.Refuse("there is no frame")
		return
	}
	d.keep(ids)
}

// None says that the picture shows none of the frames.
func (d *Tying) None() { d.keep(nil) }

// keep has something said of the picture written, and goes on.
func (d *Tying) keep(ids []cull.ID) {
	if why := d.NotSeen(); why != "" {
		d.Refuse(why)
		return
	}
	said, err := d.job.Finished()
	if err != nil {
		d.say(Fault, "NOT kept, nothing was said: "+cause(err))
		return
	}
	path := d.items[d.at].tie.Path
	before := tiedBefore{item: d.at}
	before.was, before.said = said[path]
	d.writing, d.deed, d.armed = true, true, false
	d.beside(func() func() {
		err := d.job.SetFinished(path, ids...)
		return func() { d.kept(before, ids, err) }
	})
}

// kept takes in that something said of a picture is on the disk, or is not.
func (d *Tying) kept(before tiedBefore, ids []cull.ID, err error) {
	d.writing = false
	if err != nil && !errors.Is(err, job.ErrJournal) {
		d.withdraw = false
		d.say(Fault, "NOT kept, nothing was said: "+cause(err))
		d.Redraw()
		return
	}
	d.did = append(d.did, before)
	it := &d.items[before.item]
	it.done = d.said(ids)
	text := inFinished(it.tie.Path) + " " + it.done
	if to, ok := d.nextOpen(); ok {
		d.look(to)
	} else {
		text += "; no picture is left"
		d.look(before.item)
	}
	d.say(Said, text)
	d.notice.Undo = true
	if err != nil {
		d.say(Fault, text+"; "+err.Error())
	}
	if d.withdraw {
		d.withdraw = false
		d.undo("the key was held: ")
	}
}

// Undo takes back what was said last, and goes there.
func (d *Tying) Undo() { d.undo("") }

func (d *Tying) undo(because string) {
	switch {
	case d.writing:
		d.Refuse("nothing taken back: what was said last is still on its way to the disk")
		return
	case len(d.did) == 0:
		d.Refuse("there is nothing to take back")
		return
	}
	last := d.did[len(d.did)-1]
	path := d.items[last.item].tie.Path
	d.writing, d.armed = true, false
	d.beside(func() func() {
		var err error
		if last.said {
			err = d.job.SetFinished(path, last.was...)
		} else {
			err = d.job.ForgetFinished(path)
		}
		return func() { d.takenBack(last, because, err) }
	})
}

func (d *Tying) takenBack(last tiedBefore, because string, err error) {
	d.writing = false
	if err != nil && !errors.Is(err, job.ErrJournal) {
		d.say(Fault, "NOT taken back: "+cause(err))
		d.Redraw()
		return
	}
	d.did = d.did[:len(d.did)-1]
	d.items[last.item].done = ""
	d.look(last.item)
	d.say(Said, because+"nothing is said of "+inFinished(d.items[last.item].tie.Path)+" any more")
	if last.said {
		d.say(Said, because+inFinished(d.items[last.item].tie.Path)+" is as it was before")
	}
}
