package station

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"syscall"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// Here is the frame under the cursor and where it stands.
type Here struct {
	Frame    cull.Frame
	Place    cull.Place
	Decision cull.Decision
	Letter   string // of the body
	Scene    string
	Position int // from 1, among the frames that the pass asks about; 0 = not one of them
	Total    int // frames that the pass asks about
}

// Here returns the frame under the cursor; false in a job without frames.
func (d *Desk) Here() (Here, bool) {
	id := d.session.Cursor()
	if id == "" {
		return Here{}, false
	}
	f, at, t := d.frames[id], d.session.CursorIndex(), d.reckon()
	l := d.session.Layout()
	h := Here{Frame: f, Place: l.Places[at], Decision: d.session.Decision(d.session.CursorPass(), id),
		Letter: d.bodies[f.Body].Letter, Position: t.position[at], Total: t.counts.All()}
	if h.Place.Scene >= 0 && h.Place.Scene < len(l.Scenes) {
		h.Scene = l.Scenes[h.Place.Scene].Name
	}
	return h, true
}

// Rung is one frame of the moment under the cursor.
type Rung struct {
	Frame    cull.ID
	Name     string
	Letter   string
	Decision cull.Decision
	Here     bool
	Drawn    bool // in this sitting, or when it was decided
	Broken   bool // cannot be shown
	Asked    bool // the pass asks about it
	After    time.Duration
	Marks    []Mark // what the measurements say of it
}

// Moment returns the frames of the moment under the cursor.
func (d *Desk) Moment() (cull.MomentKind, []Rung) {
	here := d.session.Cursor()
	var rungs []Rung
	kind := cull.Single
	var first time.Time
	for _, id := range d.session.Moment(here) {
		p, _ := d.session.Place(id)
		if len(rungs) == 0 {
			kind, first = p.Kind, p.Corrected.Wall
		}
		r := d.rung(id)
		r.After = p.Corrected.Wall.Sub(first)
		rungs = append(rungs, r)
	}
	return kind, rungs
}

// rung is what is said of a frame beside others.
func (d *Desk) rung(id cull.ID) Rung {
	f, pass := d.frames[id], d.session.CursorPass()
	_, broken := d.cannotShow(f)
	dec := d.session.Decision(pass, id)
	return Rung{
		Frame: id, Name: d.name(id), Letter: d.bodies[f.Body].Letter, Decision: dec, Here: id == d.session.Cursor(),
		Drawn: d.drawn[id] || dec.Shown, Broken: broken, Asked: d.session.Eligible(pass, id),
		Marks: d.marksOf(id),
	}
}

// Span is one scene of the ribbon.
type Span struct {
	Name    string
	Answers []cull.Answer // of its frames that the pass asks about, in order
	Here    int           // index of the frame under the cursor; -1 = not here
}

// Ribbon returns the whole job, scene by scene. The answers must not be changed.
func (d *Desk) Ribbon() []Span {
	t := d.reckon()
	spans := slices.Clone(t.spans)
	if at := d.session.CursorIndex(); at < len(t.inSpan) {
		if scene := d.session.Layout().Places[at].Scene; scene >= 0 && scene < len(spans) {
			// A frame that the pass does not ask about stands where it would.
			spans[scene].Here = max(0, min(t.inSpan[at], len(spans[scene].Answers)-1))
		}
	}
	return spans
}

// Reckoning is how far the pass has come and how it goes on.
type Reckoning struct {
	cull.Counts
	Projected int           // yes in the end, if the open frames go as those decided
	Goal      int           // 0 = none set
	PerMinute float64       // frames decided in a minute of work; 0 = not known yet
	Left      time.Duration // at that pace; 0 = not known
	Arrived   int           // frames that arrived before the cursor since the beginning
}

// Reckoning returns the numbers of the pass.
func (d *Desk) Reckoning() Reckoning {
	r := Reckoning{Counts: d.reckon().counts, PerMinute: d.pace.perMinute(), Arrived: d.arrived}
	if d.session.CursorPass() == cull.KeepPass {
		r.Goal = d.o.Goal
	}
	r.Projected = projected(r.Yes, r.No+r.Part, r.Open)
	if r.PerMinute > 0 {
		r.Left = time.Duration(float64(r.Open) / r.PerMinute * float64(time.Minute)).Round(time.Second)
	}
	return r
}

// name is what a frame is called.
func (d *Desk) name(id cull.ID) string {
	if f, ok := d.frames[id]; ok && f.Name != "" {
		return f.Name
	}
	return "#" + string(id)
}

// some names the first few frames of an entry.
func (d *Desk) some(changes []cull.Change) string {
	return cull.Named(changes, 2, d.name)
}

// cause is an error in words for a person, without the path that was not asked
// for.
func cause(err error) string {
	var p *fs.PathError
	switch {
	case errors.Is(err, syscall.ENOSPC):
		return "the disk is full"
	case errors.Is(err, fs.ErrNotExist), job.Mendable(err):
		return "the job's folder cannot be reached any more, or its catalogue is gone (" + err.Error() + ")"
	case errors.As(err, &p):
		return fmt.Sprintf("%s: %v", path.Base(p.Path), p.Err)
	}
	return err.Error()
}
