package station

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"garner/cull"
)

// Act is what a person can ask of a desk: one of the types below.
type Act interface{ act() }

type (
	// Answer answers the frame under the cursor and goes on to the next open one. In a
	// series the pass keep asks about the whole: yes merges it, no drops all of it.
	Answer struct{ Answer cull.Answer }
	// Burst answers the whole moment, as far as its frames were not decided by
	// themselves.
	Burst struct{ Answer cull.Answer }
	// AnswerAlikes does so for all moments that look like the one under the cursor.
	AnswerAlikes struct{ Answer cull.Answer }
	// Only keeps the frame under the cursor and drops the rest of its moment, but
	// for frames decided by themselves.
	Only struct{}
	// Merge keeps the frame under the cursor as the lead of a picture to be made of
	// its moment, whose open rest becomes part.
	Merge struct{}
	// Undo takes the last decision back and jumps to it; Redo does it again.
	Undo struct{}
	Redo struct{}
	// Walk moves the cursor without deciding.
	Walk struct{ Motion cull.Motion }
	// goTo puts the cursor on a frame.
	goTo struct{ frame cull.ID }
	// NextPass goes to the next pass's question.
	NextPass struct{}
	// Turn turns the view of the frame by a quarter, clockwise; not the file.
	Turn struct{}
)

func (Answer) act()       {}
func (Burst) act()        {}
func (AnswerAlikes) act() {}
func (Only) act()         {}
func (Merge) act()        {}
func (Undo) act()         {}
func (Redo) act()         {}
func (Walk) act()         {}
func (goTo) act()         {}
func (NextPass) act()     {}
func (Turn) act()         {}

// decides reports whether a held key must not do an act again.
func decides(a Act) bool {
	switch a.(type) {
	case Answer, Burst, AnswerAlikes, Only, Merge, Undo, Redo:
		return true
	}
	return corrects(a)
}

// maxQueue bounds the acts that wait while a decision goes to the disk.
const maxQueue = 64

// stroke is a press of a deciding key, as far as it matters later.
type stroke struct {
	press   uint64 // its number; those in quick succession are one
	chained bool   // it may have been the repeat of a held key
}

// queued is an act that waits while a decision goes to the disk.
type queued struct {
	act Act
	by  stroke
}

// Do does what an event of a key asks for, and reports whether it was the repeat
// of a held key. Every event of a key is to be passed in, with a nil act where it
// asks nothing of the desk: only so can a held key be told. What came of it is in
// Notice, at once or after the next Take.
func (d *Desk) Do(a Act, p Press) (repeat bool) {
	d.measuring.lastKey.Store(time.Now().UnixNano())
	v := d.hold.press(p)
	if a == nil {
		return v.repeat
	}
	switch a.(type) {
	case NextPass:
		if v.repeat {
			return true
		}
	case Loupe, Fan, Overlay: // held, it is as after the first press
		if v.repeat && !v.unmasked {
			return true
		}
	}
	var by stroke
	switch a.(type) {
	case Walk, goTo:
		d.early.typing = false // who walks has looked
	}
	if decides(a) {
		if v.repeat {
			d.held(v)
			return true
		}
		if !v.quick {
			d.press++
			d.did = nil
		}
		by = stroke{d.press, v.chain}
	}
	switch {
	case decides(a) && d.chained(a, p.At):
	case decides(a) && !later(a) && (d.pending != nil || p.At.Before(d.armedAt)):
		d.refuseEarly(p.At)
	case d.pending == nil:
		d.do(a, by)
	case len(d.queue) >= maxQueue:
		d.refuse("the last decision is still on its way to the disk")
	default:
		d.queue = append(d.queue, queued{a, by})
	}
	return v.repeat
}

// later reports whether a deciding act may wait for another to be kept: one that
// does not depend on what is on the screen.
func later(a Act) bool {
	switch a.(type) {
	case Undo, Redo:
		return true
	}
	return false
}

// GoTo puts the cursor on a frame, after what waits for the disk.
func (d *Desk) GoTo(frame cull.ID) {
	switch {
	case d.pending == nil:
		d.do(goTo{frame}, stroke{})
	case len(d.queue) < maxQueue:
		d.queue = append(d.queue, queued{act: goTo{frame}})
	}
}

func (d *Desk) do(a Act, by stroke) {
	from := d.scene()
	switch a := a.(type) {
	case Answer:
		d.answer(a.Answer, by)
	case Burst:
		d.burst(a.Answer, by)
	case AnswerAlikes:
		d.answerAlikes(a.Answer, by)
	case Only:
		d.only(by)
	case Merge:
		d.merge(by)
	case Undo:
		d.plan(cull.Undo{}, by, d.tellStep("taken back"))
	case Redo:
		d.plan(cull.Redo{}, by, d.tellStep("done again"))
	case Walk:
		if d.InFan() {
			d.fanWalk(a.Motion)
		} else {
			d.walk(a.Motion)
		}
	case goTo:
		if !d.session.MoveTo(a.frame) {
			d.refuse("that frame is not in the job any more")
			break
		}
		d.settle()
	case NextPass:
		d.nextPass()
	case Turn:
		if id := d.session.Cursor(); id != "" {
			d.turns[id] = (d.turns[id] + 1) % 4
			d.turnLoupe()
			d.looks++
		}
	case Loupe:
		d.toggleLoupe()
	case Fan:
		d.toggleFan(a)
	case Pan:
		d.pan(a)
	case Face:
		d.stepFace(a)
	case Overlay:
		d.toggleOverlay(a)
	case Join, Split, Out, Apart, SceneBegin:
		d.correct(a, by)
	case nameScene:
		d.nameScene(a)
	}
	d.enterScene(from)
	d.renew()
}

// mayDecide reports whether the frame under the cursor can be decided now, and
// says why where it cannot.
func (d *Desk) mayDecide() bool {
	id := d.session.Cursor()
	switch {
	case id == "":
		d.refuse("nothing decided: there is no frame")
	case !d.armed || d.shot.Frame != id:
		d.refuseEarly(d.o.Now())
	case !d.session.Eligible(d.session.CursorPass(), id):
		d.refuse("%s is not among the frames of this pass", d.name(id))
	default:
		return true
	}
	return false
}

func (d *Desk) answer(a cull.Answer, by stroke) {
	if !d.mayDecide() {
		return
	}
	id, pass := d.session.Cursor(), d.session.CursorPass()
	if d.asksToMerge(id) && d.answerSeries(a, by) {
		return
	}
	seen := d.drawn[id]
	d.plan(cull.Decide{Pass: pass, Frames: []cull.ID{id}, Answer: a, Shown: seen, RequireShown: d.shot.Picture != nil}, by,
		func(e cull.Entry) string {
			text := d.name(id) + " " + strings.TrimPrefix(cull.Summary(e), "1 ")
			if was := e.Changes[0].Before; was != cull.Open && was != a {
				text += ", was " + deedOf(was, pass)
			}
			return text
		})
}

func (d *Desk) burst(a cull.Answer, by stroke) {
	if !d.mayDecide() {
		return
	}
	id := d.session.Cursor()
	n := d.asked(id)
	d.plan(cull.DecideBurst{Pass: d.session.CursorPass(), Frame: id, Answer: a, Shown: d.drawn}, by,
		func(e cull.Entry) string {
			return fmt.Sprintf("all %d: %s%s", n, cull.Summary(e), stood(n-len(e.Changes)))
		})
}

func (d *Desk) only(by stroke) {
	if !d.mayDecide() {
		return
	}
	id := d.session.Cursor()
	n := d.asked(id)
	d.plan(cull.Only{Pass: d.session.CursorPass(), Frame: id, Shown: d.drawn, RequireShown: d.shot.Picture != nil}, by,
		func(e cull.Entry) string {
			kept := d.stayKept(id)
			if kept == "" {
				kept = stood(n - len(e.Changes))
			}
			return fmt.Sprintf("only %s: %s%s", d.name(id), cull.Summary(e), kept)
		})
}

// asked counts the frames of a frame's moment that the pass asks about.
func (d *Desk) asked(id cull.ID) int {
	n := 0
	for _, m := range d.session.Moment(id) {
		if d.session.Eligible(d.session.CursorPass(), m) {
			n++
		}
	}
	return n
}

// stood tells of frames that a burst key left as they were.
func stood(n int) string {
	if n <= 0 {
		return ""
	}
	if n == 1 {
		return "; 1 left as it was"
	}
	return fmt.Sprintf("; %d left as they were", n)
}

// walk moves the cursor, or says why it stays.
func (d *Desk) walk(m cull.Motion) {
	from := d.session.Cursor()
	if d.session.Move(m) {
		d.course = m
		d.enterMoment(from)
		d.settle()
		return
	}
	if d.session.Cursor() == "" {
		d.refuse("there is no frame")
		return
	}
	switch m {
	case cull.NextOpen, cull.PrevOpen:
		if c := d.reckon().counts; c.Open == 0 {
			d.say(Said, false, "%s", d.finished(c))
		} else if _, ok := d.session.Restricted(); ok {
			d.refuse("there is no other open frame%s", d.ofThese())
		} else {
			d.refuse("this is the only open frame")
		}
	case cull.LadderUp:
		d.refuse("this is the first frame of its moment")
	case cull.LadderDown:
		d.refuse("this is the last frame of its moment")
	case cull.NextMoment, cull.NextFrame, cull.LastFrame:
		d.refuse("this is the last moment%s", d.ofThese())
	case cull.PrevMoment, cull.PrevFrame, cull.FirstFrame:
		d.refuse("this is the first moment%s", d.ofThese())
	case cull.NextScene:
		d.refuse("this is the last scene%s", d.ofThese())
	case cull.PrevScene:
		d.refuse("this is the first scene%s", d.ofThese())
	}
}

// finished says that a pass is done.
func (d *Desk) finished(c cull.Counts) string {
	pass := d.session.CursorPass()
	if c.All() == 0 {
		return fmt.Sprintf("the pass %s has no frames", pass)
	}
	part := ""
	if c.Part > 0 {
		part = fmt.Sprintf(", %d part of a merge", c.Part)
	}
	return fmt.Sprintf("nothing is open any more: %d %s, %d %s%s", c.Yes, deedOf(cull.Yes, pass), c.No, deedOf(cull.No, pass), part)
}

func deedOf(a cull.Answer, pass string) string {
	switch {
	case pass == cull.RescuePass && a == cull.Yes:
		return "brought back"
	case pass == cull.RescuePass:
		return "left dropped"
	case pass != cull.KeepPass:
		return a.String()
	case a == cull.Yes:
		return "kept"
	case a == cull.Part:
		return "part"
	}
	return "dropped"
}

// reason is an error of a plan in the words of the station.
func reason(err error) string {
	switch {
	case errors.Is(err, cull.ErrNothing), errors.Is(err, cull.ErrNotShown):
		return "nothing decided: " + err.Error()
	}
	return err.Error()
}
