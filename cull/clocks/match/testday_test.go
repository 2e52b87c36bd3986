package match

import (
	"math"
	"slices"
	"testing"
	"time"

	"garner/cull/group"
	"garner/testdata/testday"
)

// shown is a frame as its body's own clock showed it.
func shown(f testday.Frame) group.Frame {
	return group.Frame{ID: f.ID, Name: f.Name, Body: f.Body, Time: f.Shown, Counter: f.Counter,
		Fingerprint: f.Look.Parts[0], HasFingerprint: true, Look: f.Look, Luma: f.Luma}
}

func allShown(d testday.Day) (out []group.Frame) {
	for _, f := range d.Frames {
		out = append(out, shown(f))
	}
	return out
}

// truth is what had to be added to a body's clock in a stretch, in seconds: the
// median over its frames of how far the first body's clock was ahead at that time.
func truth(d testday.Day, body string, from, until time.Time) (add float64, frames int) {
	var right float64 // how far the first body's clock is ahead of the truth, by its last frame
	var list []float64
	for _, f := range d.Frames {
		at := float64(f.Truth.Time.Sub(epoch)) / 1e9
		switch w := f.Shown.Wall; {
		case f.Body == testday.First:
			right = seconds(shown(f)) - at
		case f.Body == body && !w.Before(from) && (until.IsZero() || w.Before(until)):
			list = append(list, at+right-seconds(shown(f)))
		}
	}
	return median(list), len(list)
}

// An invented day of two bodies and a telephone: the second body's clock is wrong,
// drifts against the first one's, has whole seconds and is set anew during the day,
// to the start of the year on even days; everything is found without help.
func TestInventedDays(t *testing.T) {
	for seed := range uint64(2) {
		d := testday.New(seed, 2400)
		ps := Find(allShown(d), Options{Reference: testday.First})
		if len(ps) != 3 {
			t.Errorf("day %d: %d proposals: %+v", seed, len(ps), ps)
			continue
		}
		for i, p := range ps {
			until := time.Time{}
			if i == 0 {
				until = ps[1].From
			}
			want, n := truth(d, p.Body, p.From, until)
			off := p.Add.Seconds() - want
			t.Logf("day %d, %s from %s: %s %s, %d pairs in %d places, rival %.2f; %.2f s off", seed, p.Body, p.From.Format(time.DateTime), p.Add, p.Confidence, p.Pairs, p.Moments, p.Rival, off)
			if p.Confidence != Sure || math.Abs(off) > 1 || p.Frames != n {
				t.Errorf("day %d: %+v, want %.2f s for %d frames", seed, p, want, n)
			}
		}
		// The second stretch begins where the clock was set.
		offsets := d.Offsets(testday.Second)
		if second := slices.IndexFunc(ps, func(p Proposal) bool { return p.Body == testday.Second && !p.From.IsZero() }); second < 0 || !ps[second].From.Equal(offsets[1].From) {
			t.Errorf("day %d: %+v, set at %s", seed, ps, offsets[1].From)
		}
	}
}

// Bodies of two different days have no instant in common.
func TestInventedDaysApart(t *testing.T) {
	sure, likely, all := 0, 0, 0
	var days []testday.Day
	for seed := range uint64(4) {
		days = append(days, testday.New(seed, 900))
	}
	for pair := range 12 { // every day with every other
		one, other := pair/3, pair%3
		if other >= one {
			other++
		}
		var in []group.Frame
		for i, bodies := range [][]string{{testday.First}, {testday.Second, testday.Phone}} {
			for _, f := range days[[]int{one, other}[i]].Frames {
				if slices.Contains(bodies, f.Body) {
					in = append(in, shown(f))
				}
			}
		}
		for _, p := range Find(in, Options{Reference: testday.First}) {
			all++
			switch p.Confidence {
			case Sure:
				sure++
				t.Errorf("days %d and %d: %+v", one, other, p)
			case Likely:
				likely++
			}
		}
	}
	t.Logf("%d stretches: %d sure, %d likely", all, sure, likely)
	if likely > 1 {
		t.Errorf("%d likely", likely)
	}
}
