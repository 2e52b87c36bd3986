package station

import (
	"slices"

	"garner/cull"
)

// Fan shows all frames of the moment at once, or all that the pass asks about; and
// again the one under the cursor.
type Fan struct{ Pass bool }

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
	on    bool
	whole bool // over the pass, not the moment
}

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
	moment  int     // -1 = the whole pass
	outside cull.ID // the cursor's frame, if the pass does not ask about it
	area    FanArea
	looks   int // grows with what changes formats
}

// InFan reports whether the fan is open.
func (d *Desk) InFan() bool { return d.fan.on && !d.fan.area.empty() }

// FanOverPass reports whether the fan is open over all that the pass asks about.
func (d *Desk) FanOverPass() bool { return d.InFan() && d.fan.whole }

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

// toggleFan opens the fan, makes that of a moment one of the pass, or closes it. That
// of the pass rescue is always over the pass.
func (d *Desk) toggleFan(a Fan) {
	switch {
	case d.session.Cursor() == "":
		d.refuse("there is no frame")
		return
	case d.fan.on && (d.fan.whole || !a.Pass):
		d.openFan(fanned{})
	default:
		d.openFan(fanned{true, a.Pass || d.session.CursorPass() == cull.RescuePass})
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
		d.openFan(fanned{true, true})
	case was:
		d.openFan(d.fan.before)
	}
}

// fanList returns the frames that the fan is over, in order.
func (d *Desk) fanList() *fanList {
	id := d.session.Cursor()
	pass := d.session.CursorPass()
	of := fanOver{tallied: d.reckon().of, moment: -1, area: d.fan.area, looks: d.looks}
	if !d.fan.whole {
		if p, ok := d.session.Place(id); ok {
			of.moment = p.Moment
		}
	}
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
	if of.moment < 0 {
		for _, p := range d.session.Layout().Places {
			if p.Frame == id || d.session.Eligible(pass, p.Frame) {
				l.frames = append(l.frames, p.Frame)
			}
		}
	} else {
		l.frames = slices.DeleteFunc(d.session.Moment(id), func(m cull.ID) bool { return m != id && !d.session.Eligible(pass, m) })
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
