package testday

import (
	"math/rand/v2"
	"slices"
	"time"

	"garner/cull"
)

// Clock is how a body's clock goes wrong.
type Clock struct {
	Slow   time.Duration // how far it is behind at the start of the day
	Drift  float64       // seconds it gains in a second
	Digits int           // of a second that files carry
	Zone   bool          // files carry a time zone

	start time.Time
	Reset time.Time     // when it was set anew; zero = never
	After time.Duration // how far it is behind from then on
}

// clocks invents them: drifts of a second in some hours, as bodies have that stand
// in sun and cold, and a reset in the longest pause but for days of the kind in
// which nobody touches the clock.
func clocks(rng *rand.Rand, seed uint64, scenes []Scene) map[string]Clock {
	start := scenes[0].From
	at := 1
	for i := 2; i < len(scenes)-1; i++ {
		if scenes[i].From.Sub(scenes[i-1].Until) > scenes[at].From.Sub(scenes[at-1].Until) {
			at = i
		}
	}
	second := Clock{Slow: 7*time.Minute + 20*time.Second, Drift: -1 / (3600 * (3 + 3*rng.Float64())), start: start}
	second.Reset = scenes[at].From.Add(-time.Minute)
	second.After = second.Slow - time.Hour // somebody saw daylight saving missing
	if seed%2 == 0 {
		// An empty battery: the clock begins at the body's first day.
		second.After = second.Reset.Sub(time.Date(start.Year(), 1, 1, 0, 0, 0, 0, time.UTC))
	}
	return map[string]Clock{
		First:  {Drift: 1 / (3600 * (4 + 4*rng.Float64())), Digits: 2, start: start},
		Second: second,
		Phone:  {Digits: 3, Zone: true, start: start},
	}
}

// show is what the clock shows at a time.
func (c Clock) show(at time.Time) cull.Stamp {
	shown := at.Add(-c.behind(at)).Add(time.Duration(c.Drift * float64(at.Sub(c.start))))
	unit := time.Second
	for range c.Digits {
		unit /= 10
	}
	s := cull.Stamp{Wall: shown.Truncate(unit), Digits: c.Digits, ZoneIs: cull.ZoneUnknown}
	if c.Zone {
		s.Zone, s.ZoneIs = 120, cull.ZoneKnown
	}
	return s
}

func (c Clock) behind(at time.Time) time.Duration {
	if !c.Reset.IsZero() && !at.Before(c.Reset) {
		return c.After
	}
	return c.Slow
}

// Offsets are the corrections that a person who knew all would make: one for the
// day, one more where the clock was set anew, in tenths of a second. Drift stays in,
// to either side of them.
func (d Day) Offsets(body string) []cull.Offset {
	c := d.Clocks[body]
	var before, after []time.Duration
	var from, begin time.Time
	for _, f := range d.Frames {
		if f.Body != body {
			continue
		}
		behind := f.Truth.Time.Sub(f.Shown.Wall)
		if c.Reset.IsZero() || f.Truth.Time.Before(c.Reset) {
			if begin.IsZero() {
				begin = f.Shown.Wall
			}
			before = append(before, behind)
			continue
		}
		if from.IsZero() {
			from = f.Shown.Wall
		}
		after = append(after, behind)
	}
	var out []cull.Offset
	if len(before) > 0 {
		out = append(out, cull.Offset{Add: middle(before)})
	}
	if len(after) > 0 {
		out = append(out, cull.Offset{From: from, Add: middle(after)})
	}
	if len(out) == 2 && from.Before(begin) { // offsets follow the clock's face
		out[0], out[1] = cull.Offset{Add: out[1].Add}, cull.Offset{From: begin, Add: out[0].Add}
	}
	return out
}

func middle(d []time.Duration) time.Duration {
	slices.Sort(d)
	return d[len(d)/2].Round(100 * time.Millisecond)
}
