package group

import "math"

// EV returns the exposure value log2(N²/t) of an aperture and a time in
// seconds (APEX, Exif annex C: Ev = Av + Tv).
func EV(fnumber, seconds float64) float64 {
	return math.Log2(fnumber * fnumber / seconds)
}

// EV100 returns the exposure value that gives the same picture at ISO 100:
// high in bright light. It is false where one of the three is unknown, or so far from
// what a camera does that it gives no number.
func EV100(fnumber, seconds float64, iso int) (ev float64, ok bool) {
	if !(fnumber > 0) || !(seconds > 0) || iso <= 0 || math.IsInf(fnumber, 0) || math.IsInf(seconds, 0) {
		return 0, false
	}
	ev = EV(fnumber, seconds) - math.Log2(float64(iso)/100)
	if math.IsInf(ev, 0) || math.IsNaN(ev) {
		return 0, false
	}
	return ev, true
}
