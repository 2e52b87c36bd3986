package station

import (
	"errors"
	"fmt"
	"strings"

	"garner/cull"
)

// The acts that correct the groups. Like decisions they are durable before they
// are shown, can be taken back, and are done once by a held key.
type (
	// Join makes one moment of that under the cursor and the one before it.
	Join struct{ Series bool }
	// Split cuts the moment before the frame under the cursor.
	Split struct{}
	// Out makes the frame under the cursor a moment of its own.
	Out struct{}
	// Apart lets the look-alikes of the moment go.
	Apart struct{}
	// SceneBegin lets a scene begin with the moment, or no longer.
	SceneBegin struct{}
	// nameScene names the scene that holds a frame.
	nameScene struct {
		frame cull.ID
		name  string
	}
)

func (Join) act()       {}
func (Split) act()      {}
func (Out) act()        {}
func (Apart) act()      {}
func (SceneBegin) act() {}
func (nameScene) act()  {}

// corrects reports whether an act is one of the corrections by a single key.
func corrects(a Act) bool {
	switch a.(type) {
	case Join, Split, Out, Apart, SceneBegin:
		return true
	}
	return false
}

// correct corrects the groups around the frame under the cursor, which has to be
// on the screen as for a decision.
func (d *Desk) correct(a Act, by stroke) {
	id := d.session.Cursor()
	switch {
	case id == "":
		d.refuse("there is no frame")
		return
	case !d.armed || d.shot.Frame != id:
		d.refuseEarly(d.o.Now())
		return
	}
	var act cull.Action
	var tell func() string
	switch a := a.(type) {
	case Join:
		if s, ok := d.sceneOf(id); ok && len(d.session.Moment(id)) > 0 && d.session.Moment(id)[0] == s.First {
			d.refuse("nothing changed: there is no moment before it in this scene")
			return
		}
		act, tell = cull.Join{Frame: id, Series: a.Series}, func() string { return "joined with the moment before it: a " + d.momentWords(id) }
	case Split:
		act, tell = cull.Split{Frame: id}, func() string { return d.tellSplit(id) }
	case Out:
		act, tell = cull.Out{Frame: id}, func() string { return d.name(id) + " is a moment of its own" }
	case Apart:
		n := d.momentsAlike(id)
		act, tell = cull.Apart{Frame: id}, func() string { return fmt.Sprintf("%d moments are no look-alikes any more", n) }
	case SceneBegin:
		act, tell = cull.SceneBegin{Frame: id}, func() string { return d.tellScene(id) }
	}
	// What the plan refuses it gives its reason for.
	if _, err := d.session.Plan(act, d.o.Now(), d.o.Who); err != nil {
		d.refuse("%s", cannotCorrect(err))
		return
	}
	d.plan(act, by, func(cull.Entry) string { return tell() })
}

// cannotCorrect says why a correction is none.
func cannotCorrect(err error) string {
	if errors.Is(err, cull.ErrNothing) {
		return "nothing changed: " + strings.TrimPrefix(err.Error(), cull.ErrNothing.Error()+": ")
	}
	return err.Error()
}

func (d *Desk) tellSplit(id cull.ID) string {
	before := ""
	if ids := d.session.Moment(d.session.Peek(cull.PrevFrame)); len(ids) > 0 {
		before = fmt.Sprintf(": the %s before it, ", d.momentWords(ids[0]))
	}
	return fmt.Sprintf("split before %s%sa %s from it on", d.name(id), before, d.momentWords(id))
}

// tellScene says what scene a moment is in now, and whether that begins with it.
func (d *Desk) tellScene(id cull.ID) string {
	s, ok := d.sceneOf(id)
	if !ok {
		return ""
	}
	if ids := d.session.Moment(id); len(ids) > 0 && ids[0] == s.First {
		return fmt.Sprintf("scene %s begins here", s.Name)
	}
	return fmt.Sprintf("no scene begins here any more: scene %s goes on", s.Name)
}

// momentsAlike counts the moments of the set of look-alikes that a frame is in.
func (d *Desk) momentsAlike(id cull.ID) int {
	n, moment := 0, -1
	for _, m := range d.session.Alikes(id) {
		if p, ok := d.session.Place(m); ok && p.Moment != moment {
			n, moment = n+1, p.Moment
		}
	}
	return n
}

// NameScene names the scene that holds a frame, after what waits for the disk; an
// empty name takes it back, and the scene is called by its number.
func (d *Desk) NameScene(frame cull.ID, name string) {
	a := nameScene{frame, strings.TrimSpace(name)}
	switch {
	case d.pending == nil:
		d.do(a, stroke{})
	case len(d.queue) < maxQueue:
		d.queue = append(d.queue, queued{act: a})
	}
}

func (d *Desk) nameScene(a nameScene) {
	act := cull.NameScene{Frame: a.frame, Name: a.name}
	if _, err := d.session.Plan(act, d.o.Now(), d.o.Who); err != nil {
		d.refuse("%s", cannotCorrect(err))
		return
	}
	d.plan(act, stroke{}, func(cull.Entry) string {
		if s, ok := d.sceneOf(a.frame); ok && a.name != "" {
			d.usedName(a.name)
			return fmt.Sprintf("this scene is called %s", s.Name)
		} else if ok {
			return fmt.Sprintf("this scene is called %s again", s.Name)
		}
		return ""
	})
}
