package station

import (
	"fmt"
	"image"

	"garner/cull"
	"garner/preview"
	"garner/preview/jpeg"
)

type (
	// Loupe shows the pixels of the frame's largest JPEG, one on one pixel of the
	// screen, around the point of focus; and again the whole picture.
	Loupe struct{}
	// Pan moves the loupe's part by a third of its room: -1, 0 or 1 each way.
	Pan struct{ X, Y int }
)

func (Loupe) act() {}
func (Pan) act()   {}

// closeBytes is what the loupe's pictures that are ready may hold.
const closeBytes = 48 << 20

// loupe is how close one looks.
type loupe struct {
	on     bool
	used   bool    // it was opened in this sitting
	opened cull.ID // where, until its pixels were there
	at     spot    // what was panned to, in the view
	panned bool    // else each frame's own focus counts
	alone  image.Point
	beside image.Point
	sights map[cull.ID]sight
	failed map[cull.ID]string // why there are no pixels of a frame
	blur   blur
	face   faced
}

// sight is what is known of a frame that was open for the loupe. It stays when
// the frame is closed.
type sight struct {
	size, sensor image.Point // upright pixels; of the sensor 0 = not known
	focus        spot        // upright
	from         string      // how it was found
}

// blur stands in for a part whose pixels are still being made: the same pointer
// for the same part.
type blur struct {
	of      *jpeg.Image
	part    part
	picture *jpeg.Image
}

// fromFace says that the loupe shows a face.
const fromFace = "face"

func newLoupe() loupe {
	return loupe{sights: map[cull.ID]sight{}, failed: map[cull.ID]string{}}
}

func (l *loupe) forget(id cull.ID) {
	delete(l.sights, id)
	delete(l.failed, id)
}

// LoupePart says what the loupe shows.
type LoupePart struct {
	Part   image.Rectangle // in pixels of the JPEG as the view is turned; empty = not known yet
	Size   image.Point     // of the whole JPEG
	Sensor image.Point     // of the sensor's picture; 0 = not known
	From   string          // how the place was found: "camera", "sharpest", "centre", "face"; "" = panned to
	Face   string          // which face it is, and its eyes, in words; "" = none
	Why    string          // why there are no such pixels and the whole picture is shown; "" = there are
}

// SetRoom says how large the picture's place on the screen is in pixels: of a
// frame alone, and of one beside a ladder. Zero = nothing can be seen close.
func (d *Desk) SetRoom(alone, beside image.Point) {
	if alone != d.loupe.alone || beside != d.loupe.beside {
		d.loupe.alone, d.loupe.beside = alone, beside
		d.renew()
	}
}

// room is the place for a frame's picture.
func (d *Desk) room(id cull.ID) image.Point {
	if d.InFan() {
		l := d.fanList()
		return l.tiling.room(d.fan.area)
	}
	if d.HasLadder(id) {
		return d.loupe.beside
	}
	return d.loupe.alone
}

// HasLadder reports whether a ladder stands beside a frame while it is looked at:
// the pass asks about several frames of its moment, or of moments that look alike.
func (d *Desk) HasLadder(id cull.ID) bool {
	n := 0
	for _, m := range d.session.Moment(id) {
		if m == id || d.session.Eligible(d.session.CursorPass(), m) {
			n++
		}
	}
	return n > 1 || d.hasAlikes(id)
}

// InLoupe reports whether the loupe is open.
func (d *Desk) InLoupe() bool { return d.loupe.on }

// NoLoupe says why the loupe cannot be opened on the frame under the cursor; "" =
// it can.
func (d *Desk) NoLoupe() string {
	id := d.session.Cursor()
	if id == "" {
		return "there is no frame"
	}
	if why, ok := d.cannotShow(d.frames[id]); ok {
		return fmt.Sprintf("%s cannot be shown: %s", d.name(id), plainWhy(why))
	}
	return ""
}

// CloseLoupe goes back to the whole picture, because nothing can be seen close any
// more.
func (d *Desk) CloseLoupe() {
	if d.loupe.on {
		d.openLoupe(false)
		d.renew()
	}
}

// toggleLoupe opens and closes the loupe.
func (d *Desk) toggleLoupe() {
	if d.loupe.on {
		d.openLoupe(false)
		d.settle()
		return
	}
	if why := d.NoLoupe(); why != "" {
		d.refuse("%s", why)
		return
	}
	id := d.session.Cursor()
	delete(d.loupe.failed, id)
	d.openLoupe(true)
	d.loupe.opened, d.loupe.used = id, true
	d.settle()
}

func (d *Desk) openLoupe(on bool) {
	d.loupe.on, d.loupe.panned, d.loupe.opened, d.loupe.blur, d.loupe.face = on, false, "", blur{}, faced{}
	d.fan.anchor = d.session.Cursor()
	d.version++
}

// pan moves the part that is seen.
func (d *Desk) pan(p Pan) {
	id := d.session.Cursor()
	if !d.loupe.on {
		d.refuse("the loupe is not open: there is nothing to move")
		return
	}
	now, ok := d.partOf(id)
	if !ok {
		d.refuse("nothing to move: %s is not seen close yet", d.name(id))
		return
	}
	next := now.panned(p.X, p.Y)
	if next == now {
		d.refuse("%s", edgeOf(p))
		return
	}
	d.loupe.at, d.loupe.panned = next.middle(), true
	d.settle()
}

func edgeOf(p Pan) string {
	switch {
	case p.X < 0:
		return "this is the left edge of the picture"
	case p.X > 0:
		return "this is the right edge of the picture"
	case p.Y < 0:
		return "this is the upper edge of the picture"
	}
	return "this is the lower edge of the picture"
}

// turnLoupe keeps the part that is seen when its view is turned.
func (d *Desk) turnLoupe() {
	if d.loupe.panned {
		d.loupe.at = d.loupe.at.turned(1)
	}
}

// partOf is the part of a frame that the loupe shows; false where its size is not
// known yet or it has no pixels.
func (d *Desk) partOf(id cull.ID) (part, bool) {
	s, ok := d.loupe.sights[id]
	room := d.room(id)
	if _, no := d.loupe.failed[id]; no || !ok || room.X <= 0 || room.Y <= 0 {
		return part{}, false
	}
	at, _, ok := d.aim(id)
	if !ok {
		return part{}, false
	}
	return partAround(at, sizeTurned(s.size, d.turns[id]), room), true
}

// aim is the place of a frame that the loupe shows, in its view, and how it was
// found: "" = panned to. False = it is not known yet.
func (d *Desk) aim(id cull.ID) (at spot, from string, ok bool) {
	if d.loupe.panned {
		return d.loupe.at, "", true
	}
	if f, on := d.faceOf(id); on {
		_, ok = d.loupe.sights[id]
		return aimFace(f.at).turned(d.turns[id]), fromFace, ok
	}
	id = d.anchor(id)
	s, ok := d.loupe.sights[id]
	return s.focus.turned(d.turns[id]), s.from, ok
}

// takeDetail takes in that a frame is open for the loupe.
func (d *Desk) takeDetail(id cull.ID, v *preview.Detail) {
	size := image.Pt(v.Width, v.Height)
	d.loupe.sights[id] = sight{size, image.Pt(v.SensorWidth, v.SensorHeight), spotOf(v.Focus, size), v.FocusFrom}
	d.details.put(id, v)
}

// noLoupe takes in why there are no pixels of a frame. The loupe that was opened
// on it is closed again; one that came by shows the whole picture.
func (d *Desk) noLoupe(id cull.ID, why string) {
	d.loupe.failed[id] = why
	if d.loupe.on && d.loupe.opened == id && id == d.session.Cursor() {
		d.openLoupe(false)
		d.refuse("no loupe of %s: %s", d.name(id), plainWhy(why))
	}
}
