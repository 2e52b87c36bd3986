package group

import (
	"math"
	"slices"
	"time"
)

// seriesPause is the longest pause between the frames of an exposure bracket,
// beside the exposure itself.
const seriesPause = 1500 * time.Millisecond

// bracketEnd returns the end of the exposure bracket that begins at run[from],
// or from if none does; run holds one body's frames in order. A bracket is a
// quick run of 2, 3, 5, 7 or 9 frames whose exposures are all different and
// evenly spaced. Where the camera does not say that it bracketed, only steps of
// bias of 2/3 EV and more count, on frames that look alike, three at least:
// smaller ones are somebody turning the dial.
func bracketEnd(run []Frame, from int, o Options) int {
	for _, n := range []int{9, 7, 5, 3, 2} {
		if from+n <= len(run) && isBracket(run[from:from+n], o) {
			return from + n
		}
	}
	return from
}

func isBracket(frames []Frame, o Options) bool {
	flagged := true
	for i, f := range frames {
		flagged = flagged && f.AutoBracket
		if i > 0 && !soonAfter(frames[i-1], f) {
			return false
		}
	}
	if flagged {
		step, ok := evenStep(frames)
		return ok && step >= 0.3-evenness
	}
	if len(frames) < 3 {
		return false
	}
	for i, f := range frames {
		if f.AutoBracket || f.Bias == nil || i > 0 && unlike(&frames[i-1], &frames[i]) > o.Quick {
			return false
		}
	}
	step, ok := evenStep(frames)
	return ok && step >= 0.66-evenness
}

func soonAfter(a, b Frame) bool {
	if a.Time.Known() != b.Time.Known() {
		return false
	}
	if !a.Time.Known() {
		return nextByCounter(&a, &b)
	}
	exposure := time.Duration(0)
	if a.Seconds > 0 && a.Seconds < 60 {
		exposure = time.Duration(a.Seconds * float64(time.Second))
	}
	return b.Time.Wall.Sub(a.Time.Wall) <= seriesPause+exposure
}

// evenness is what rounding of Exif values (1/3 EV written as 0.3 or 0.33,
// 1/125 s for 1/128 s) may add to a step, in EV.
const evenness = 0.17

// evenStep returns the step between the exposures in order, if all steps are
// the same and none is zero.
func evenStep(frames []Frame) (step float64, ok bool) {
	values, ok := exposures(frames)
	if !ok {
		return 0, false
	}
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
func exposures(frames []Frame) ([]float64, bool) {
	bias, ev := make([]float64, 0, len(frames)), make([]float64, 0, len(frames))
	moves := false
	for _, f := range frames {
		if f.Bias != nil && !math.IsNaN(*f.Bias) && !math.IsInf(*f.Bias, 0) {
			bias = append(bias, *f.Bias)
			moves = moves || *f.Bias != bias[0]
		}
		if f.HasEV {
			ev = append(ev, f.EV100)
		}
	}
	if len(bias) == len(frames) && moves {
		return bias, true
	}
	return ev, len(ev) == len(frames)
}
