package group

import (
	"math"
	"slices"
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
	var after []int
	for i, x := range excesses(gaps, leastGap) {
		if x >= math.Log(17)-tolerance {
			after = append(after, i)
		}
	}
	return after
}

// excesses returns by how much the logarithm of each gap is above the mean around
// it; shorter gaps than floor count as that.
func excesses(gaps []time.Duration, floor time.Duration) []float64 {
	sums := make([]float64, len(gaps)+1) // sums[i] = Σ log of the first i gaps
	logs := make([]float64, len(gaps))
	for i, g := range gaps {
		logs[i] = math.Log(max(g, floor).Seconds())
		sums[i+1] = sums[i] + logs[i]
	}
	for i := range logs {
		from, to := max(0, i-reach), min(len(gaps), i+reach+1)
		mean := (sums[to] - sums[from]) / float64(to-from)
		logs[i] -= mean
	}
	return logs
}

// What a scene's beginning takes, as the factor by which its pause is longer than
// those around it: the published one where nothing is known of light and place;
// less where these change; much more where they stay as they are, since a wedding
// waits for minutes in one place. Chosen on sixteen invented days (testdata/testday,
// seeds 1 to 6 and 11 to 20), where 182 of 183 scenes were found and 17 more.
const (
	factorUnknown = 17
	factorSame    = 300
	factorChanged = 12

	// No scene begins after a pause that is not this many times as long as the
	// job's usual one, however dense it is around it: measured against the job, so
	// that a job at another pace has the same scenes.
	leastFactor = 12
)

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
	usual := median(gaps)
	for i, x := range excesses(gaps, max(usual/32, time.Millisecond)) {
		if x < math.Log(factorChanged)-tolerance || gaps[i] < leastFactor*usual {
			continue
		}
		if x >= math.Log(factorAt(ms, i+1))-tolerance {
			starts[i+1] = true
		}
	}
	return starts
}

// factorAt is what a scene that begins with the moment of an index takes. Between
// the factors it goes by the logarithm, as the rule counts.
func factorAt(ms []moment, at int) float64 {
	change, sure := changeAt(ms, at)
	told := factorSame * math.Pow(factorChanged/float64(factorSame), change)
	return factorUnknown * math.Pow(told/factorUnknown, sure)
}

func median(gaps []time.Duration) time.Duration {
	if len(gaps) == 0 {
		return 0
	}
	sorted := slices.Clone(gaps)
	slices.Sort(sorted)
	return sorted[len(sorted)/2]
}
