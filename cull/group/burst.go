package group

import "time"

// blindGap is the longest pause within a burst between frames that nobody could
// compare: slower than that, time alone proves nothing.
const blindGap = 250 * time.Millisecond

// burstEnd returns the end of the burst that begins at run[from]; run holds
// one body's frames in order. Each frame must follow and resemble the one
// before it, and resemble the first as well: a pan, in which every frame looks
// like the last, does not run away.
func burstEnd(run []Frame, from int, o Options) int {
	first := run[from]
	to := from + 1
	for to < len(run) && follows(run[to-1], run[to], o) && within(first, run[to], o) {
		to++
	}
	return to
}

// follows reports whether b was taken in one go after a and looks like it.
func follows(a, b Frame, o Options) bool {
	if a.Time.Known() != b.Time.Known() {
		return false
	}
	if !a.Time.Known() {
		return nextByCounter(a, b) && alike(a, b, o.Near)
	}
	gap := b.Time.Wall.Sub(a.Time.Wall)
	if gap > o.Gap {
		return false
	}
	if !a.HasFingerprint || !b.HasFingerprint {
		fine := a.Time.Digits > 0 && b.Time.Digits > 0
		return gap <= blindGap && (fine || nextByCounter(a, b))
	}
	return alike(a, b, likenessAfter(gap, a, b, o))
}

// likenessAfter falls from Quick to Near with the pause: at ten frames a second
// even a dancer's frames were taken in one go; after a second only what looks
// the same was.
func likenessAfter(gap time.Duration, a, b Frame, o Options) int {
	if a.Time.Digits == 0 || b.Time.Digits == 0 {
		// Whole seconds tell nothing finer than a second.
		gap = max(gap, min(time.Second, o.Gap))
	}
	share := float64(gap) / float64(o.Gap)
	return o.Quick - int(share*float64(o.Quick-o.Near)+0.5)
}

// within bounds a burst by its first frame, in time and in likeness.
func within(first, f Frame, o Options) bool {
	if first.Time.Known() && f.Time.Known() && f.Time.Wall.Sub(first.Time.Wall) > o.Longest {
		return false
	}
	return !first.HasFingerprint || !f.HasFingerprint || alike(first, f, o.Far)
}

func alike(a, b Frame, limit int) bool {
	return a.HasFingerprint && b.HasFingerprint && Distance(a.Fingerprint, b.Fingerprint) <= limit
}

// nextByCounter reports whether b came right after a by the body's counter, with
// room for one frame deleted in the camera.
func nextByCounter(a, b Frame) bool {
	d := b.Counter - a.Counter
	return a.Counter > 0 && b.Counter > 0 && d >= 1 && d <= 2
}
