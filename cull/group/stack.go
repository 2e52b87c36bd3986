package group

import (
	"time"

	"garner/cull"
)

// A focus stack is told by a camera that stands still with everything held while
// what is sharp moves over the picture: each part of it becomes sharp once, one
// after the other.
const (
	stackLeast = 4 // frames
	stackMost  = 100
	stackPause = 2500 * time.Millisecond // beside the exposure itself

	stackStill = 0.04 // how far the view may move, as a share of width and height
	stepBits   = 10   // in how many bits of the fingerprint one frame may differ from the next
	stackBits  = 16   // and from the first: a sweep over an empty sky moves detail too

	// Detail has 12 steps for a doubling of its square: how much it must change in a
	// part for that to become sharp, and what is noise. To become sharp again it must
	// rise by a third of what it changes.
	sharpens   = 12
	noise      = 4
	leastParts = 6 // of 16 that become sharp
	leastPeaks = 3 // different frames in which they are
	againOf    = 5 // one in so many may become sharp again: somebody moved
	besides    = 0.7
)

// stackEnd returns the end of the focus stack that begins at run[from], or from if
// none does; run holds one body's frames in order.
func stackEnd(run []Frame, from int) int {
	to := from + 1
	for to < min(len(run), from+stackMost) && stillOn(&run[from], &run[to-1], &run[to]) {
		to++
	}
	if to-from >= stackLeast && sharpMoves(run[from:to]) {
		return to
	}
	return from
}

// stillOn reports whether b may follow a in a stack that began with first.
func stillOn(first, a, b *Frame) bool {
	if !a.Time.Known() || !held(a, b) || !soonAfter(a, b, stackPause) || !looked(first, b) || !looked(a, b) || !refocused(a.Look, b.Look) ||
		Distance(a.Look.Parts[0], b.Look.Parts[0]) > stepBits || Distance(first.Look.Parts[0], b.Look.Parts[0]) > stackBits {
		return false
	}
	v := view{x: slide(&first.Look.Columns, &b.Look.Columns, 4), y: slide(&first.Look.Rows, &b.Look.Rows, 4)}
	return max(v.x.shift, -v.x.shift, v.y.shift, -v.y.shift) <= stackStill
}

// refocused reports whether detail changed in some parts of the picture.
func refocused(a, b *cull.Look) bool {
	n := 0
	for i, d := range a.Detail {
		if e := int(d) - int(b.Detail[i]); e > noise || e < -noise {
			n++
		}
	}
	return n >= 2
}

// sharpMoves reports whether what is sharp moves steadily over the frames.
func sharpMoves(frames []Frame) bool {
	at := make([]bool, len(frames)) // some part is sharpest there
	var peak [cull.LookTiles]int
	parts, again, peaks := 0, 0, 0
	for tile := range peak {
		p, once := peakOf(frames, tile)
		if peak[tile] = p; p < 0 {
			continue
		}
		parts++
		if !once {
			again++
		} else if !at[p] {
			at[p] = true
			peaks++
		}
	}
	return parts >= leastParts && peaks >= max(leastPeaks, len(frames)/3) && again <= parts/againOf && laidOut(peak)
}

// laidOut reports whether parts beside each other become sharp one soon after the
// other, compared with any two parts: depth is laid out in a picture, chance is not.
func laidOut(peak [cull.LookTiles]int) bool {
	const across = 4
	beside, pairs, all, any := 0, 0, 0, 0
	for i, p := range peak {
		for k, q := range peak[:i] {
			if p < 0 || q < 0 {
				continue
			}
			d := max(p-q, q-p)
			all, any = all+d, any+1
			if i-k == across || i-k == 1 && i%across > 0 {
				beside, pairs = beside+d, pairs+1
			}
		}
	}
	return pairs > 0 && float64(beside)/float64(pairs) <= besides*float64(all)/float64(any)
}

// peakOf is the frame in which a part of the picture is sharpest, -1 if it hardly
// changes, and whether it becomes sharp once only.
func peakOf(frames []Frame, tile int) (peak int, once bool) {
	least := 255
	for i := range frames {
		d := int(frames[i].Look.Detail[tile])
		least = min(least, d)
		if d > int(frames[peak].Look.Detail[tile]) {
			peak = i
		}
	}
	top := int(frames[peak].Look.Detail[tile])
	if top-least < sharpens {
		return -1, false
	}
	for _, step := range []int{-1, 1} {
		low := top
		for i := peak + step; i >= 0 && i < len(frames); i += step {
			d := int(frames[i].Look.Detail[tile])
			if d > low+max(noise, (top-least)/3) {
				return peak, false
			}
			low = min(low, d)
		}
	}
	return peak, true
}
