package returned

import (
	"time"

	"garner/cull"
)

// times is the frames that were taken when a picture says it was, by a body that it
// may be from. It is firm if the body is known by its serial number, or the time is
// finer than seconds: a second alone is met by chance at a wedding of some thousand
// frames.
func (x *index) times(p *Picture) claim {
	c := claim{kind: byTime}
	if !p.Taken.Known() {
		return c
	}
	at := p.Taken.Wall.Unix()
	named, exact := map[int]bool{}, map[int]bool{}
	meet := func(f int, same bool) {
		frame := &x.frames[f]
		if !same || x.otherBody(p, frame) != "" {
			return
		}
		named[f] = true
		fine := p.Taken.Digits > 1 && min(frame.Taken.Digits, frame.Corrected.Digits) > 1
		exact[f] = fine || serialOf(p.Serial) != "" && serialOf(p.Serial) == serialOf(frame.Serial)
	}
	for _, f := range x.second[at] {
		frame := &x.frames[f]
		meet(f, sameTime(p.Taken, frame.Taken) || sameTime(p.Taken, frame.Corrected))
	}
	if len(named) == 0 && p.Taken.ZoneIs != cull.ZoneUnknown { // written down in another zone
		utc := p.Taken
		utc.Wall = inGreenwich(p.Taken)
		for _, f := range x.instant[utc.Wall.Unix()] {
			for _, t := range []cull.Stamp{x.frames[f].Taken, x.frames[f].Corrected} {
				if t.ZoneIs != cull.ZoneUnknown {
					t.Wall = inGreenwich(t)
					meet(f, sameTime(utc, t))
				}
			}
		}
	}
	c.frames, c.firm = setOf(named), true
	for _, f := range c.frames {
		c.firm = c.firm && exact[f]
	}
	return c
}

func inGreenwich(s cull.Stamp) time.Time { return s.Wall.Add(-time.Duration(s.Zone) * time.Minute) }

// sameTime compares two clocks' faces as finely as both are given.
func sameTime(a, b cull.Stamp) bool {
	if !a.Known() || !b.Known() || a.Wall.Unix() != b.Wall.Unix() {
		return false
	}
	unit := time.Second
	for range min(a.Digits, b.Digits, 9) {
		unit /= 10
	}
	return time.Duration(a.Wall.Nanosecond())/unit == time.Duration(b.Wall.Nanosecond())/unit
}
