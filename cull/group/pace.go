package group

import "time"

// What was taken in one go is told by its own pace. A body that takes ten frames a
// second and then none for half a second was let go in between; a finger that
// presses every second was not.
const (
	// quick is the longest pause that never ends a go by itself: a full buffer slows
	// a body down to three frames a second.
	quick = 400 * time.Millisecond

	// paceRatio is how many times the pace a pause must be to end a go.
	paceRatio = 2.75

	// paceReach is how many pauses to either side tell the pace. A single one does
	// if it is shorter than a finger's, oneEnough.
	paceReach = 5
	oneEnough = 200 * time.Millisecond

	// blind is the longest pause within a burst between frames that nobody could
	// compare: slower than that, time alone proves nothing.
	blind = 250 * time.Millisecond
)

// pause is the time from the start of one frame to the start of the next.
type pause struct {
	length time.Duration
	coarse bool // a clock of whole seconds: it may be up to a second more or less
	never  bool // the two were not taken in one go, whatever they look like
}

// pausesOf are the pauses of one body's frames, in order. Three frames or more of
// one whole second, with nothing in between if there is a counter, were quick. A
// fraction of a second that is always 0 is none: some bodies write that.
func pausesOf(run []Frame, o Options) []pause {
	out := make([]pause, max(0, len(run)-1))
	for from := 0; from < len(run); {
		to, whole := from+1, run[from].Time.Wall.Nanosecond() == 0
		for to < len(run) && !apart(&run[to-1], &run[to]) {
			whole = whole && run[to].Time.Wall.Nanosecond() == 0
			to++
		}
		for i := from; i < to && i < len(out); i++ {
			out[i] = pauseBetween(&run[i], &run[i+1], whole, o)
		}
		from = to
	}
	for from := 0; from < len(out); from++ {
		to := from
		for to < len(out) && out[to].coarse && out[to].length == halfSecond && sameInstant(&run[from], &run[to+1]) {
			to++
		}
		if to-from >= 2 {
			for i := from; i < to; i++ {
				out[i].length = quick
			}
			from = to - 1
		}
	}
	return out
}

// apart reports whether nothing that a body took before a pause has to do with what
// it took after it.
func apart(a, b *Frame) bool {
	return a.Time.Known() != b.Time.Known() || a.Time.Known() && b.Time.Wall.Sub(a.Time.Wall) > Apart
}

func sameInstant(a, b *Frame) bool { return a.Time.Wall.Equal(b.Time.Wall) }

// pauseBetween is that between two frames of one body, in order; whole says that
// its clock shows whole seconds only.
func pauseBetween(a, b *Frame, whole bool, o Options) pause {
	if a.Time.Known() != b.Time.Known() {
		return pause{never: true}
	}
	if !a.Time.Known() {
		return pause{length: o.Gap, coarse: true, never: !nextByCounter(a, b)}
	}
	p := pause{length: b.Time.Wall.Sub(a.Time.Wall)}
	if whole || a.Time.Digits == 0 || b.Time.Digits == 0 {
		p.coarse = true
		if p.length < time.Second {
			// Up to a second lies between them, half of one if nothing was taken in between.
			p.length = min(time.Second, o.Gap)
			if nextByCounter(a, b) || a.Counter <= 0 && b.Counter <= 0 {
				p.length = halfSecond
			}
		}
	}
	p.never = p.length > o.Gap
	return p
}

const halfSecond = 500 * time.Millisecond

// nextByCounter reports whether b came right after a by the body's counter, with
// room for one frame deleted in the camera. File counters start again after 9999.
func nextByCounter(a, b *Frame) bool {
	const round = 9999
	if a.Counter <= 0 || b.Counter <= 0 {
		return false
	}
	d := b.Counter - a.Counter
	if d < 0 && a.Counter <= round {
		d += round
	}
	return d == 1 || d == 2
}

// letGo reports whether the pause of an index is too long for the pace before or
// after it.
func letGo(pauses []pause, at int) bool {
	p := pauses[at]
	if p.coarse || p.length <= quick {
		return false
	}
	for _, step := range []int{-1, 1} {
		if pace, ok := paceFrom(pauses, at, step); ok && float64(p.length) >= paceRatio*float64(pace) {
			return true
		}
	}
	return false
}

// paceFrom is the middle of the pauses to one side, as far as they are of one
// pace; false where that is too few to tell.
func paceFrom(pauses []pause, at, step int) (time.Duration, bool) {
	var like [paceReach]time.Duration
	n := 0
	for i := at + step; i >= 0 && i < len(pauses) && n < paceReach; i += step {
		p := pauses[i]
		if p.never || p.coarse {
			break
		}
		if n > 0 && (float64(p.length) >= paceRatio*float64(max(like[n/2], blind)) || float64(like[n/2]) >= paceRatio*float64(max(p.length, blind))) {
			break
		}
		k := n // insert in order
		for ; k > 0 && like[k-1] > p.length; k-- {
			like[k] = like[k-1]
		}
		like[k] = p.length
		n++
	}
	if n == 0 || n == 1 && like[0] > oneEnough {
		return 0, false
	}
	return max(like[n/2], 10*time.Millisecond), true
}
