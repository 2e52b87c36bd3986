package station

import (
	"slices"

	"garner/cull"
)

// fanWalk moves the cursor among the tiles, or says why it stays. From the last
// tile of a moment it goes on to the next moment's.
func (d *Desk) fanWalk(m cull.Motion) {
	l := d.fanList()
	at := slices.Index(l.frames, d.session.Cursor())
	if at < 0 || l.tiling.Tiles() == 0 {
		d.walk(m)
		return
	}
	to := at
	switch columns, page := l.tiling.Columns, l.tiling.Tiles(); m {
	case cull.NextMoment:
		to = at + 1
	case cull.PrevMoment:
		to = at - 1
	case cull.LadderDown:
		if to = at + columns; to >= len(l.frames) && at/columns < (len(l.frames)-1)/columns {
			to = len(l.frames) - 1 // the last row is shorter
		}
	case cull.LadderUp:
		to = at - columns
	case cull.NextScene:
		if d.fan.over != ofPass {
			d.walk(m)
			return
		}
		if to = at + page; to >= len(l.frames) && at/page < (len(l.frames)-1)/page {
			to = len(l.frames) - 1
		}
	case cull.PrevScene:
		if d.fan.over != ofPass {
			d.walk(m)
			return
		}
		to = at - page
	default:
		d.walk(m)
		return
	}
	if to >= 0 && to < len(l.frames) {
		d.session.MoveTo(l.frames[to])
		d.settle()
		return
	}
	d.fanEnd(m)
}

// fanEnd goes on beyond the fan, or says that this is its end.
func (d *Desk) fanEnd(m cull.Motion) {
	of := "moment"
	switch u := d.fanList().of.unit; {
	case u == everything:
		of = "pass"
	case u.alike > 0:
		of = "look-alikes"
	}
	beyond := map[cull.Motion]cull.Motion{cull.NextMoment: cull.NextFrame, cull.PrevMoment: cull.PrevFrame}
	switch m {
	case cull.NextMoment, cull.PrevMoment:
		if d.fan.over != ofPass && d.session.Move(beyond[m]) {
			d.settle()
			return
		}
		if m == cull.NextMoment {
			d.refuse("this is the last frame")
		} else {
			d.refuse("this is the first frame")
		}
	case cull.LadderDown:
		d.refuse("this is the last row of the %s", of)
	case cull.LadderUp:
		d.refuse("this is the first row of the %s", of)
	case cull.NextScene:
		d.refuse("this is the last page of the %s", of)
	case cull.PrevScene:
		d.refuse("this is the first page of the %s", of)
	}
}

// fanStay returns what is to be done once an answer was committed: in the fan of a
// moment, or of look-alikes, one goes on to the frames of it that are still open,
// those before the cursor too, before the next comes.
func (d *Desk) fanStay(e cull.Entry) func() {
	if !d.InFan() || d.fan.over == ofPass || !answers(e) || e.Pass != d.session.CursorPass() {
		return func() {}
	}
	here := d.unitOf(d.session.Cursor())
	frames := slices.Clone(d.fanList().frames)
	at := slices.Index(frames, d.session.Cursor())
	return func() {
		if at < 0 || d.unitOf(d.session.Cursor()) == here {
			return
		}
		for _, id := range slices.Concat(frames[at+1:], frames[:at]) {
			if d.session.Eligible(e.Pass, id) && d.session.Decision(e.Pass, id).Answer == cull.Open {
				d.session.MoveTo(id)
				return
			}
		}
	}
}
