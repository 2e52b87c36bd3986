package group

import (
	"math"
	"slices"
	"time"
)

// bracketPause is the longest pause between the frames of an exposure bracket,
// beside the exposure itself; handPause that of one that nothing but its exposures
// tells.
const (
	bracketPause = 1500 * time.Millisecond
	handPause    = 700 * time.Millisecond
)

// The least steps of a bracket, in EV: where the camera says that it bracketed,
// where the bias does, and where only the exposures of a manual setting do. Smaller
// ones are somebody turning the dial.
const (
	flaggedStep = 0.3
	biasStep    = 0.66
	manualStep  = 0.9
)

// evenness is what rounding of Exif values (1/3 EV written as 0.3 or 0.33,
// 1/125 s for 1/128 s) may add to a step, in EV.
const evenness = 0.17

// bracketEnd returns the end of the exposure bracket that begins at run[from],
// or from if none does; run holds one body's frames in order. A bracket is a
// quick run of 2, 3, 5, 7 or 9 frames whose exposures are all different and
// evenly spaced. Where the camera does not say that it bracketed, it takes three
// frames at least, of one view.
func bracketEnd(run []Frame, from int, o Options) int {
	if from+1 == len(run) || !mayBracket(&run[from], &run[from+1]) {
		return from
	}
	for _, n := range []int{9, 7, 5, 3, 2} {
		if from+n <= len(run) && isBracket(run[from:from+n], o) {
			return from + n
		}
	}
	return from
}

// mayBracket is the test that nearly all frames fail at no cost.
func mayBracket(a, b *Frame) bool {
	if a.AutoBracket != b.AutoBracket {
		return false
	}
	apart := 0.0
	if a.Bias != nil && b.Bias != nil {
		apart = math.Abs(*a.Bias - *b.Bias)
	}
	if a.HasEV && b.HasEV {
		apart = max(apart, math.Abs(a.EV100-b.EV100))
	}
	return apart >= flaggedStep-evenness && soonAfter(a, b, bracketPause)
}

func isBracket(frames []Frame, o Options) bool {
	flagged := frames[0].AutoBracket
	for i := 1; i < len(frames); i++ {
		if frames[i].AutoBracket != flagged || !soonAfter(&frames[i-1], &frames[i], bracketPause) {
			return false
		}
	}
	values, biased, ok := exposures(frames)
	if !ok || !flagged && len(frames) < 3 {
		return false
	}
	step, ok := evenStep(values)
	switch {
	case !ok:
		return false
	case flagged:
		return step >= flaggedStep-evenness
	case biased:
		return step >= biasStep-evenness && oneView(frames, bracketPause, o)
	}
	return step >= manualStep-evenness && oneView(frames, handPause, o)
}

// oneView reports whether the frames, each soon after the other, look alike and
// were taken through the same lens.
func oneView(frames []Frame, pause time.Duration, o Options) bool {
	for i := 1; i < len(frames); i++ {
		a, b := &frames[i-1], &frames[i]
		if !sameOptics(a, b) || !soonAfter(a, b, pause) || unlike(a, b) > o.Quick {
			return false
		}
	}
	return true
}

// sameOptics reports whether nobody zoomed, changed the lens or turned the camera
// upright between two frames.
func sameOptics(a, b *Frame) bool {
	return a.Focal == b.Focal && a.Lens == b.Lens && a.Upright == b.Upright && a.Sensor == b.Sensor
}

// soonAfter reports whether b came within a pause after a, beside the time that a
// was exposed.
func soonAfter(a, b *Frame, pause time.Duration) bool {
	if a.Time.Known() != b.Time.Known() {
		return false
	}
	if !a.Time.Known() {
		return nextByCounter(a, b)
	}
	exposure := time.Duration(0)
	if a.Seconds > 0 && a.Seconds < 60 {
		exposure = time.Duration(a.Seconds * float64(time.Second))
	}
	return b.Time.Wall.Sub(a.Time.Wall) <= min(pause+exposure, Apart)
}

// evenStep returns the step between exposures, if all steps are the same and none
// is zero. It orders the values.
func evenStep(values []float64) (step float64, ok bool) {
	slices.Sort(values)
	step = (values[len(values)-1] - values[0]) / float64(len(values)-1)
	for i := 1; i < len(values); i++ {
		if math.Abs(values[i]-values[i-1]-step) > evenness {
			return 0, false
		}
	}
	return step, step > 0
}

// exposures gives the frames' bias, or where a manual exposure has no bias that
// moves, their exposure value.
func exposures(frames []Frame) (values []float64, biased, ok bool) {
	bias, ev := make([]float64, 0, len(frames)), make([]float64, 0, len(frames))
	for i := range frames {
		f := &frames[i]
		if f.Bias != nil && !math.IsNaN(*f.Bias) && !math.IsInf(*f.Bias, 0) {
			bias = append(bias, *f.Bias)
			biased = biased || *f.Bias != bias[0]
		}
		if f.HasEV {
			ev = append(ev, f.EV100)
		}
	}
	if len(bias) == len(frames) && biased {
		return bias, true, true
	}
	return ev, false, len(ev) == len(frames)
}
