package station

import (
	"slices"

	"garner/cull"
)

// Fan shows all frames of the moment at once, those of all moments that look alike,
// or all that the pass asks about; and again the one under the cursor.
type Fan struct{ Alike, Pass bool }

func (Fan) act() {}

// fan is the looking at many frames at once.
type fan struct {
	fanned
	before fanned // how it was when a pass that is walked in it was begun
	pass   string // that renew saw last
	area   FanArea
	list   fanList
	seen   cull.ID // first frame of the page that renew saw last
	anchor cull.ID // whose focus the loupe shows of all tiles
	blurs  map[cull.ID]*blur
}

// fanned says whether the fan is open, and over what.
type fanned struct {
	on   bool
	over reach
}

// reach is what a fan is over.
type reach uint8

const (
	ofMoment reach = iota
	ofAlikes       // the moments that look alike; the moment, where none does
	ofPass
)

// fanList is what a fan is over. It is kept as long as nothing changes it.
type fanList struct {
	of      fanOver
	frames  []cull.ID
	formats Formats
	tiling  Tiling
}

// fanOver is what the list depends on.
type fanOver struct {
	tallied
	unit            // the whole pass: none
	outside cull.ID // the cursor's frame, if the pass does not ask about it
	area    FanArea
	looks   int // grows with what changes formats
}

// InFan reports whether the fan is open.
func (d *Desk) InFan() bool { return d.fan.on && !d.fan.area.empty() }

// FanOverPass reports whether the fan is open over all that the pass asks about.
func (d *Desk) FanOverPass() bool { return d.InFan() && d.fan.over == ofPass }

// CloseFan goes back to the one frame.
func (d *Desk) CloseFan() {
	if d.fan.on {
		d.openFan(fanned{})
		d.renew()
	}
}

// SetFan says where a fan would stand.
func (d *Desk) SetFan(a FanArea) {
	if a != d.fan.area {
		d.fan.area = a
		if d.fan.on {
			d.renew()
		}
	}
}

// toggleFan opens the fan, makes it one over something else, or closes it. That of the
// pass rescue is always over the pass, but where look-alikes are asked for.
func (d *Desk) toggleFan(a Fan) {
	over := ofMoment
	switch {
	case a.Alike:
		over = ofAlikes
	case a.Pass || !d.fan.on && d.session.CursorPass() == cull.RescuePass:
		over = ofPass
	}
	switch {
	case d.session.Cursor() == "":
		d.refuse("there is no frame")
		return
	case a.Alike && !d.hasAlikes(d.session.Cursor()):
		d.refuse("%s", noAlikes)
		return
	case d.fan.on && (over == ofMoment || over == d.fan.over):
		d.openFan(fanned{})
	default:
		d.openFan(fanned{true, over})
	}
	d.settle()
}

func (d *Desk) openFan(how fanned) {
	d.fan.fanned, d.fan.list, d.fan.seen, d.fan.blurs = how, fanList{}, "", nil
	d.forceShot()
	d.version++
}

// followPass opens the fan over the pass rescue, which looks for the few among many;
// after it things are as they were before.
func (d *Desk) followPass() {
	pass := d.session.CursorPass()
	if pass == d.fan.pass {
		return
	}
	was := d.fan.pass
	d.fan.pass = pass
	switch cull.RescuePass {
	case pass:
		d.fan.before = d.fan.fanned
		d.openLoupe(false)
		d.openFan(fanned{true, ofPass})
	case was:
		d.openFan(d.fan.before)
	}
}

// fanList returns the frames that the fan is over, in order.
func (d *Desk) fanList() *fanList {
	id := d.session.Cursor()
	pass := d.session.CursorPass()
	of := fanOver{tallied: d.reckon().of, unit: d.unitOf(id), area: d.fan.area, looks: d.looks}
	if !d.session.Eligible(pass, id) {
		of.outside = id
	}
	if d.fan.list.frames != nil && d.fan.list.of == of {
		return &d.fan.list
	}
	d.fan.list = d.fanOf(id, of)
	return &d.fan.list
}

// fanOf is the list of the fan that a frame is in.
func (d *Desk) fanOf(id cull.ID, of fanOver) fanList {
	l := fanList{of: of}
	pass := d.session.CursorPass()
	switch of.unit {
	case everything:
		for _, p := range d.session.Layout().Places {
			if p.Frame == id || d.session.Eligible(pass, p.Frame) {
				l.frames = append(l.frames, p.Frame)
			}
		}
	default:
		frames := d.session.Moment(id)
		if of.alike > 0 {
			frames = d.session.Alikes(id)
		}
		l.frames = slices.DeleteFunc(frames, func(m cull.ID) bool { return m != id && !d.session.Eligible(pass, m) })
	}
	for _, m := range l.frames {
		w, h := sizeOf(d.frames[m])
		if d.turns[m]%2 == 1 {
			w, h = h, w
		}
		l.formats = l.formats.add(w, h)
	}
	l.tiling = tile(of.area, len(l.frames), l.formats)
	return l
}

// unit is the run of frames that a fan shows at a time: a moment, or a set of
// look-alikes.
type unit struct{ moment, alike int } // alike: from 1, and then moment is -1

// everything is all that the pass asks about.
var everything = unit{-1, 0}

// unitOf is the one that a frame is in.
func (d *Desk) unitOf(id cull.ID) unit {
	p, ok := d.session.Place(id)
	switch {
	case !ok || d.fan.over == ofPass:
		return everything
	case d.fan.over == ofAlikes && p.Alike > 0:
		return unit{-1, p.Alike}
	}
	return unit{p.Moment, 0}
}

// sizeOf is the size of a frame's upright picture in some unit; 0 = not known. It is
// that of the JPEG: what the sensor has may be of another format.
func sizeOf(f cull.Frame) (w, h int) {
	for _, p := range f.Previews { // the largest first
		if p.Whole {
			w, h = p.Width, p.Height
			break
		}
	}
	if w <= 0 || h <= 0 {
		w, h = f.Shot.Width, f.Shot.Height
	}
	if f.Shot.Orientation >= 5 && f.Shot.Orientation <= 8 { // Exif: a quarter turn to one side or the other
		w, h = h, w
	}
	return w, h
}
