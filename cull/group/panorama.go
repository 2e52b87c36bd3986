package group

import (
	"math"
	"time"

	"garner/cull"
)

// A panorama is told by a camera that turns on step by step with everything held:
// nobody follows a subject with one exposure in equal steps, and a body that takes
// ten frames a second while it turns is panned.
const (
	panoramaLeast = 3               // frames
	panoramaPause = 6 * time.Second // by hand, beside the exposure itself

	// How far it turns, of the picture's width or height. Less overlap than a
	// quarter cannot be told from 32 bars.
	leastTurn, mostTurn = 0.2, 0.77
	unevenTurn          = 1.7 // times the first step, or less by as much

	heldEV = 0.05 // held exposures differ by rounding
)

// How well what two views hold in common must fit. With the exposure held it has
// the same levels; across the turn the profiles are of other parts of the place and
// only roughly alike. Of views cut from 19 photographs at 25 to 80 % overlap nineteen
// of twenty pass; of pairs of different photographs one in a hundred, and it takes
// two pairs that agree.
const (
	turnBits    = 14 // what differs in fewer bits has not turned
	turnFit     = 0.85
	turnLevels  = 8
	turnColour  = 0.5
	turnBars    = 25   // so far are profiles moved along the turn
	swayBars    = 4    // and across
	stillBars   = 3    // they must fit worse moved by so little,
	stillerThan = 0.05 // by so much

	// For a view between or beside others that turn: its fit at their step.
	amongFit    = 0.45
	amongLevels = 12
)

// axis is the way a camera turns.
type axis uint8

const (
	across axis = iota
	down
)

// turns finds the panoramas of one body's frames, in order.
type turns struct {
	run   []Frame
	known [2][]step // by axis, of each frame to the next, as far as anybody asked
}

// step is how far the view turned from one frame to the next, as a share of width
// or height, if it did.
type step struct {
	asked, ok bool
	turn      float64
}

// end returns the end of the panorama that begins at run[from], or from if none
// does.
func (t *turns) end(from int) int {
	for _, way := range []axis{across, down} {
		if to := t.endBy(from, way); to > from {
			return to
		}
	}
	return from
}

func (t *turns) endBy(from int, way axis) int {
	first := t.step(from, way)
	if !first.ok {
		// One view may show too little to be sure of it.
		if first = t.step(from+1, way); !first.ok || !t.among(from, way, first.turn) {
			return from
		}
	}
	sure, to := 0, from+1
	for to < len(t.run) {
		s := t.step(to-1, way)
		if r := s.turn / first.turn; s.ok && r >= 1/unevenTurn && r <= unevenTurn {
			sure++
		} else if !t.among(to-1, way, first.turn) {
			break
		}
		to++
	}
	if n := to - from; n < panoramaLeast || sure < panoramaLeast-1 || 2*sure < n-1 {
		return from
	}
	return to
}

// step is that from the frame of an index to the next.
func (t *turns) step(at int, way axis) step {
	if at+1 >= len(t.run) {
		return step{}
	}
	if t.known[way] == nil {
		t.known[way] = make([]step, len(t.run))
	}
	s := &t.known[way][at]
	if !s.asked {
		a, b := &t.run[at], &t.run[at+1]
		s.asked = true
		if heldOn(a, b) {
			s.turn, s.ok = turned(a.Look, b.Look, way)
		}
	}
	return *s
}

// among reports whether the view after the one of an index may be the next of a
// panorama that turns by such steps.
func (t *turns) among(at int, way axis, turn float64) bool {
	a, b := &t.run[at], &t.run[at+1]
	if !heldOn(a, b) {
		return false
	}
	along, alongB, _, _ := profiles(a.Look, b.Look, way)
	f := slideNear(along, alongB, int(math.Round(turn*cull.LookBars)), 6)
	return f.score >= amongFit && f.levels <= amongLevels
}

// heldOn reports whether b may be the next view of a panorama after a: at a hand's
// pace, with all held.
func heldOn(a, b *Frame) bool {
	return a.Time.Known() && held(a, b) && looked(a, b) && b.Time.Wall.Sub(a.Time.Wall) >= quick && soonAfter(a, b, panoramaPause) &&
		Distance(a.Look.Parts[0], b.Look.Parts[0]) > turnBits
}

// held reports whether two frames have the same optics, exposure and flash, and
// say so.
func held(a, b *Frame) bool {
	fired := func(f *Frame) bool { return f.Flash != nil && *f.Flash }
	return a.HasEV && b.HasEV && math.Abs(a.EV100-b.EV100) <= heldEV && math.Abs(a.Seconds-b.Seconds) <= a.Seconds*heldEV &&
		a.Focal > 0 && sameOptics(a, b) && fired(a) == fired(b)
}

// profiles are those of two looks along an axis and across it.
func profiles(a, b *cull.Look, way axis) (along, alongB, over, overB *[cull.LookBars]uint8) {
	if way == down {
		return &a.Rows, &b.Rows, &a.Columns, &b.Columns
	}
	return &a.Columns, &b.Columns, &a.Rows, &b.Rows
}

// turned says how far the view turned from a to b; false where it did not or what
// both hold does not fit.
func turned(a, b *cull.Look, way axis) (float64, bool) {
	if !a.Grey && !b.Grey && colourApart(a, b) > turnColour {
		return 0, false
	}
	along, alongB, over, overB := profiles(a, b, way)
	f := slide(along, alongB, turnBars)
	if t := math.Abs(f.shift); t < leastTurn || t > mostTurn || f.score < turnFit || f.levels > turnLevels {
		return 0, false
	}
	if still := slide(along, alongB, stillBars); still.score > f.score-stillerThan {
		return 0, false
	}
	return f.shift, slide(over, overB, swayBars).score > 0
}
