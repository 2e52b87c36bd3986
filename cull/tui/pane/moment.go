package pane

import "garner/cull"

// Title is what a moment of n frames is called: a series by what its frames are
// material for.
func Title(kind cull.MomentKind, series cull.SeriesKind, n int) string {
	switch kind {
	case cull.Burst:
		return "burst of " + number(n)
	case cull.Series:
		if s := clean(string(series)); s != "" && series != cull.Together {
			return s + " of " + number(n)
		}
		return "series of " + number(n)
	case cull.Single:
		return "one frame"
	}
	return frames(n)
}

func frames(n int) string {
	if n == 1 {
		return "1 frame"
	}
	return number(n) + " frames"
}
