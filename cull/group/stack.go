package group

import (
	"time"

	"garner/cull"
)

// A focus stack is told by a camera that stands still with everything held while
// what is sharp moves over the picture: each part of it becomes sharp once, one
// after the other.
const (
	stackLeast = 4                       // frames
	stackPause = 2500 * time.Millisecond // beside the exposure itself

	stackStill = 0.04 // how far the view may move, as a share of width and height
	stackBits  = 24   // how far the first frame and another may look apart

	// Detail is in 12 steps for a doubling of its square: how much it must rise and
	// fall in a part for that to become sharp, and what is noise.
	sharpens   = 10
	noise      = 4
	leastParts = 6 // of 16 that become sharp
	leastPeaks = 3 // different frames in which they are
)

// stackEnd returns the end of the focus stack that begins at run[from], or from if
// none does; run holds one body's frames in order.
func stackEnd(run []Frame, from int) int {
	to := from + 1
	for to < len(run) && stillOn(&run[from], &run[to-1], &run[to]) {
		to++
	}
	if to-from >= stackLeast && sharpMoves(run[from:to]) {
		return to
	}
	return from
}

// stillOn reports whether b may follow a in a stack that began with first.
func stillOn(first, a, b *Frame) bool {
	if !held(a, b) || !a.Time.Known() || !soonAfter(a, b, stackPause) || !looked(first, b) || unlikeWithin(first, b, stackBits) > stackBits {
		return false
	}
	v := view{x: slide(&first.Look.Columns, &b.Look.Columns, 4), y: slide(&first.Look.Rows, &b.Look.Rows, 4)}
	return max(v.x.shift, -v.x.shift, v.y.shift, -v.y.shift) <= stackStill
}

// sharpMoves reports whether what is sharp moves steadily over the frames.
func sharpMoves(frames []Frame) bool {
	var peaks [cull.LookTiles]int // in which frame a part is sharpest; -1 = it never changes
	parts := 0
	var at []bool = make([]bool, len(frames))
	for tile := range peaks {
		peaks[tile] = peakOf(frames, tile)
		if peaks[tile] == twice {
			return false
		}
		if peaks[tile] >= 0 {
			parts++
			at[peaks[tile]] = true
		}
	}
	n := 0
	for _, some := range at {
		if some {
			n++
		}
	}
	return parts >= leastParts && n >= max(leastPeaks, len(frames)/3)
}

const (
	never = -1
	twice = -2
)

// peakOf is the frame in which a part of the picture is sharpest: never if it does
// not change, twice if it becomes sharp more than once.
func peakOf(frames []Frame, tile int) int {
	peak, least := 0, 255
	for i := range frames {
		d := int(frames[i].Look.Detail[tile])
		least = min(least, d)
		if d > int(frames[peak].Look.Detail[tile]) {
			peak = i
		}
	}
	top := int(frames[peak].Look.Detail[tile])
	if top-least < sharpens {
		return never
	}
	// On both sides it only falls.
	for _, step := range []int{-1, 1} {
		low := top
		for i := peak + step; i >= 0 && i < len(frames); i += step {
			d := int(frames[i].Look.Detail[tile])
			if d > low+noise {
				return twice
			}
			low = min(low, d)
		}
	}
	return peak
}
