package match

import (
	"cmp"
	"math/bits"
	"slices"
	"strings"
	"time"

	"garner/cull/group"
)

const (
	// glimpsePause ends a glimpse: two photographers press within a few seconds.
	glimpsePause = 1.5
	// glimpseBits is how far a glimpse's frames may be from its first.
	glimpseBits = 20
	// glimpseLongest bounds a glimpse in seconds, so that its time says something.
	glimpseLongest = 4.0
	// backwards is how far a clock must go back to have been set, in seconds: less
	// is rounding and the order of files.
	backwards = 2.5
	// leap is how far it must leap ahead, in seconds: nobody pauses so long.
	leap = 20 * 3600.0
	// mostSets is how often a clock may have been set. A counter by which it was set
	// more often counts something else, and times that leap more often are no day's.
	mostSets = 24
)

// track is one body's frames that have a time and a picture, in the order in
// which they were taken.
type track struct {
	body   string
	frames []group.Frame
	at     []float64 // seconds on the body's own clock, the middle of what the stamp can mean
	prints []uint64
	of     []int32 // glimpse of each frame
	runs   []int32 // stretch of the clock of each glimpse: a clock that was seen to be set begins another
	first  []int32 // first frame of each glimpse
}

// glimpses is how many there are.
func (t *track) glimpses() int { return len(t.first) }

// end is one past the last frame of a glimpse.
func (t *track) end(g int32) int32 {
	if int(g)+1 < len(t.first) {
		return t.first[g+1]
	}
	return int32(len(t.frames))
}

// newTrack takes one body's frames in any order.
func newTrack(body string, frames []group.Frame) *track {
	t := &track{body: body, frames: taken(frames)}
	run, leaps := int32(0), sets(t.frames) <= mostSets
	for i, f := range t.frames {
		at := seconds(f)
		t.at, t.prints = append(t.at, at), append(t.prints, f.Fingerprint)
		fresh := i == 0
		if !fresh {
			step := at - t.at[i-1]
			begin := t.first[len(t.first)-1]
			if leaps && wasSet(step) {
				run++
				fresh = true
			}
			fresh = fresh || step > glimpsePause || at-t.at[begin] > glimpseLongest || bits.OnesCount64(t.prints[begin]^f.Fingerprint) > glimpseBits
		}
		if fresh {
			t.first, t.runs = append(t.first, int32(i)), append(t.runs, run)
		}
		t.of = append(t.of, int32(len(t.first)-1))
	}
	return t
}

// wasSet reports whether a clock was set where it steps by so many seconds.
func wasSet(step float64) bool { return step < -backwards || step > leap }

// sets counts how often a clock was set, in the order in which frames were taken.
func sets(frames []group.Frame) (n int) {
	for i := 1; i < len(frames); i++ {
		if wasSet(seconds(frames[i]) - seconds(frames[i-1])) {
			n++
		}
	}
	return n
}

// epoch keeps seconds small enough for hundredths in a float64, which a range of
// centuries would be as well; it only makes them readable.
var epoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// seconds is the middle of what a stamp can mean: a clock of whole seconds showed
// the last one that had passed.
func seconds(f group.Frame) float64 {
	at := float64(f.Time.Wall.Unix()-epoch.Unix()) + float64(f.Time.Wall.Nanosecond())/1e9
	if f.Time.Digits == 0 {
		at += 0.5
	}
	return at
}

// taken puts one body's frames into the order in which they were taken: by its
// counter, or where that says nothing, by the clock.
func taken(frames []group.Frame) []group.Frame {
	out := slices.Clone(frames)
	slices.SortFunc(out, func(a, b group.Frame) int {
		return cmp.Or(a.Time.Wall.Compare(b.Time.Wall), cmp.Compare(a.Counter, b.Counter), strings.Compare(a.Name, b.Name), strings.Compare(string(a.ID), string(b.ID)))
	})
	start, ok := counterStart(out)
	if !ok {
		return out
	}
	counted := slices.Clone(out)
	slices.SortStableFunc(counted, func(a, b group.Frame) int {
		return cmp.Compare(round(a.Counter, start), round(b.Counter, start))
	})
	if sets(counted) > mostSets {
		return out
	}
	return counted
}

// A file counter goes from 9999 to 1 (DCF 2.0, clause 3.2.4: file numbers 0001 to
// 9999).
const highest = 9999

// round is a counter's place in a round that begins at start; 0 = no rounds.
func round(counter, start int64) int64 {
	if start > 0 && counter < start {
		return counter + highest
	}
	return counter
}

// counterStart finds where a body's counter begins. It is false where some frames
// have none or two frames have the same, since then it tells no order.
func counterStart(frames []group.Frame) (start int64, ok bool) {
	counters := make([]int64, len(frames))
	for i, f := range frames {
		if f.Counter <= 0 {
			return 0, false
		}
		counters[i] = f.Counter
	}
	slices.Sort(counters)
	for i := 1; i < len(counters); i++ {
		if counters[i] == counters[i-1] {
			return 0, false
		}
	}
	n := len(counters)
	if n < 2 || counters[n-1] > highest {
		return 0, n > 0
	}
	// The round begins after the widest gap, if that is wider than the one in
	// which 9999 turns into 1.
	widest, at := counters[0]+highest-counters[n-1], 0
	for i := 1; i < n; i++ {
		if gap := counters[i] - counters[i-1]; gap > widest {
			widest, at = gap, i
		}
	}
	if at == 0 {
		return 0, true
	}
	return counters[at], true
}
