package station

import (
	"fmt"

	"garner/cull"
)

// only numbers the frames of the part of the job that alone is walked, such as those
// of a line of the review. The session knows which they are.
type only struct {
	of    tallied
	index map[cull.ID]int // of those that the pass asks about, from 1, in order
}

// ShowOnly lets only some frames be walked, until ShowAll, and reports whether there
// are any. Nothing is decided by it.
func (d *Desk) ShowOnly(name string, frames []cull.ID) bool {
	pass, known, asked := d.session.CursorPass(), false, 0
	for _, id := range frames {
		if _, ok := d.session.Place(id); ok {
			known = true
			if d.session.Eligible(pass, id) {
				asked++
			}
		}
	}
	switch {
	case !known:
		d.refuse("no frame of the job can be shown for it")
		return false
	case asked == 0:
		d.refuse("the pass %s asks about none of these frames", pass)
		return false
	}
	d.part = only{}
	d.session.Restrict(frames, name)
	d.forceShot() // what is dropped is drawn in another way
	d.sayInPassing("only these are walked: %s, %s", name, framesWords(asked))
	d.renew()
	return true
}

// ShowAll lets all frames be walked again; the cursor stays.
func (d *Desk) ShowAll() {
	if _, ok := d.session.Restricted(); ok {
		d.part = only{}
		d.session.Restrict(nil, "")
		d.forceShot()
		d.sayInPassing("all frames are walked again")
		d.renew()
	}
}

// Shown names the part that alone is walked, with which of its frames the cursor is
// on, from 1, and how many they are; false where all is walked.
func (d *Desk) Shown() (name string, at, of int, ok bool) {
	if name, ok = d.session.Restricted(); !ok {
		return "", 0, 0, false
	}
	if now := d.reckon().of; d.part.index == nil || d.part.of != now {
		d.part.of, d.part.index = now, map[cull.ID]int{}
		for _, p := range d.session.Layout().Places {
			if d.session.Walks(p.Frame) {
				d.part.index[p.Frame] = len(d.part.index) + 1
			}
		}
	}
	return name, d.part.index[d.session.Cursor()], len(d.part.index), true
}

func framesWords(n int) string {
	if n == 1 {
		return "1 frame"
	}
	return fmt.Sprintf("%d frames", n)
}

// ofThese says of what the first or the last was reached.
func (d *Desk) ofThese() string {
	name, ok := d.session.Restricted()
	if !ok {
		return ""
	}
	return " of " + name
}

// lastOfThese adds to what a decision said that it did not lead on, because there is
// no further frame in the part that is walked.
func (d *Desk) lastOfThese(before cull.ID) {
	if _, ok := d.session.Restricted(); ok && d.session.Cursor() == before && d.notice.Text != "" {
		d.say(Said, d.notice.Undo, "%s; that was the last%s", d.notice.Text, d.ofThese())
	}
}
