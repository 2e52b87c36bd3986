package group

import (
	"math"
	"time"
)

// The adaptive gap rule of Platt, Czerwinski and Field, PhotoTOC (IEEE Pacific
// Rim Conference on Multimedia 2003; MSR-TR-2002-17): a new event begins after
// the gap g_N if
//
//	log g_N ≥ K + 1/(2d+1) · Σ log g_{N+i},  i = −d … d
//
// so that what counts as a pause depends on the pace around it. At the ends
// the mean is over the gaps that exist.
const (
	reach     = 10          // d
	leastGap  = time.Second // gaps of zero have no logarithm; clocks show whole seconds
	tolerance = 1e-9        // for sums of logarithms
)

// Boundaries returns the indexes of the gaps after which a new event begins.
func Boundaries(gaps []time.Duration) []int {
	sums := make([]float64, len(gaps)+1) // sums[i] = Σ log of the first i gaps
	logs := make([]float64, len(gaps))
	for i, g := range gaps {
		logs[i] = math.Log(max(g, leastGap).Seconds())
		sums[i+1] = sums[i] + logs[i]
	}
	k := math.Log(17)
	var after []int
	for i := range gaps {
		from, to := max(0, i-reach), min(len(gaps), i+reach+1)
		mean := (sums[to] - sums[from]) / float64(to-from)
		if logs[i] >= k+mean-tolerance {
			after = append(after, i)
		}
	}
	return after
}

// sceneStarts returns, for each moment, whether a scene begins with it. Gaps
// run from the end of one moment to the start of the next, so a burst's quick
// frames do not set the pace of the scene, and no scene splits a moment.
func sceneStarts(ms []moment, o Options) []bool {
	starts := make([]bool, len(ms))
	if len(ms) == 0 {
		return starts
	}
	starts[0] = true
	var gaps []time.Duration
	end := ms[0].frames[len(ms[0].frames)-1].Time
	for i := 1; i < len(ms); i++ {
		t := ms[i].frames[0].Time
		if !t.Known() {
			// The first frame without a time begins the last scene.
			starts[i] = ms[i-1].frames[0].Time.Known()
			break
		}
		gaps = append(gaps, t.Wall.Sub(end.Wall))
		if last := ms[i].frames[len(ms[i].frames)-1].Time; last.Wall.After(end.Wall) {
			end = last
		}
	}
	for _, i := range Boundaries(gaps) {
		if gaps[i] >= o.LeastPause {
			starts[i+1] = true
		}
	}
	return starts
}
