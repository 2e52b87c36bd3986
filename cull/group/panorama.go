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

	// Of the picture's width, or height, from frame to frame: what overlaps less
	// than a quarter cannot be told from 32 bars.
	leastTurn, mostTurn = 0.2, 0.77
	turnBars            = 25  // so far are the profiles moved
	swayBars            = 4   // and so far across the turn
	unevenTurn          = 1.7 // times the middle one, or less by as much

	heldEV = 0.05 // exposures that were held differ by rounding
)

// panoramaEnd returns the end of the panorama that begins at run[from], or from if
// none does; run holds one body's frames in order.
func panoramaEnd(run []Frame, from int) int {
	for _, turn := range []func(a, b *cull.Look) (float64, bool){turnAcross, turnDown} {
		var first float64
		to := from + 1
		for to < len(run) && heldOn(&run[to-1], &run[to]) {
			step, ok := turn(run[to-1].Look, run[to].Look)
			if !ok {
				break
			}
			if to == from+1 {
				first = step
			} else if r := step / first; r < 1/unevenTurn || r > unevenTurn {
				break
			}
			to++
		}
		if to-from >= panoramaLeast {
			return to
		}
	}
	return from
}

// heldOn reports whether b may be the next view of a panorama after a: at a hand's
// pace, through the same lens, with exposure and focal length held, without flash.
func heldOn(a, b *Frame) bool {
	if !held(a, b) || !a.Time.Known() || b.Time.Wall.Sub(a.Time.Wall) < quick || !soonAfter(a, b, panoramaPause) {
		return false
	}
	return looked(a, b)
}

// held reports whether two frames have the same optics and exposure, as far as that
// is known, and no flash.
func held(a, b *Frame) bool {
	fired := a.Flash != nil && *a.Flash || b.Flash != nil && *b.Flash
	return !fired && a.Focal > 0 && sameOptics(a, b) && a.HasEV && b.HasEV &&
		math.Abs(a.EV100-b.EV100) <= heldEV && math.Abs(a.Seconds-b.Seconds) <= a.Seconds*heldEV
}

// turnAcross says how far the view turned from a to b, to the right, as a share of
// the width; false where what both hold does not fit.
func turnAcross(a, b *cull.Look) (float64, bool) {
	return turn(&a.Columns, &b.Columns, &a.Rows, &b.Rows, colourApart(a, b))
}

// turnDown is the same downwards, of the height.
func turnDown(a, b *cull.Look) (float64, bool) {
	return turn(&a.Rows, &b.Rows, &a.Columns, &b.Columns, colourApart(a, b))
}

// How well the overlap of two views must fit. With the exposure held it has the
// same levels; across the turn the profiles are of other parts of the place, and
// only roughly alike.
const (
	turnFit       = 0.7
	turnLevels    = 12
	swayFit       = 0.2
	turnColour    = 0.5
	stillerThan   = 0.05 // and so much better than if nothing had moved
	barsNotTurned = 3
)

func turn(along, alongB, across, acrossB *[cull.LookBars]uint8, colour float64) (float64, bool) {
	if colour > turnColour {
		return 0, false
	}
	f := slide(along, alongB, turnBars)
	if t := math.Abs(f.shift); t < leastTurn || t > mostTurn || f.score < turnFit || f.levels > turnLevels {
		return 0, false
	}
	if still := slide(along, alongB, barsNotTurned); still.score > f.score-stillerThan {
		return 0, false
	}
	sway := slide(across, acrossB, swayBars)
	return f.shift, sway.score >= swayFit
}
