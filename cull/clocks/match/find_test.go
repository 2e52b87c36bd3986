package match

import (
	"math/rand/v2"
	"testing"
	"time"

	"garner/cull/group"
)

func newDay(seed uint64) *day {
	return &day{r: rand.New(rand.NewPCG(seed, 11)), scenes: 8, hours: 10, shared: 0.1, venue: true, jitter: 1, near: 8}
}

// within fails unless a proposal is sure and right to a second.
func within(t *testing.T, p Proposal, want time.Duration) {
	t.Helper()
	if p.Confidence != Sure || (p.Add-want).Abs() > time.Second {
		t.Errorf("%s (%s) %s, %d pairs in %d places, rival %.2f; want %s", p.Add, p.Confidence, p.Reason, p.Pairs, p.Moments, p.Rival, want)
	}
}

func TestFindsTheOffset(t *testing.T) {
	for name, c := range map[string]struct {
		by     time.Duration
		digits int
	}{
		"7 min 20 s ahead":         {440 * time.Second, 2},
		"an hour behind":           {-time.Hour, 2},
		"a day and an hour ahead":  {25 * time.Hour, 2},
		"right":                    {0, 2},
		"half a second":            {500 * time.Millisecond, 2},
		"whole seconds, 12 h off":  {-12 * time.Hour, 0},
		"the wrong side of midday": {12*time.Hour + 93*time.Second, 0},
	} {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(5) {
				d := newDay(seed)
				a, b := d.shoot(800)
				in := append(frames("A", a, 2, 1, off(0)), frames("B", b, c.digits, 9500, off(c.by))...)
				ps := Find(in, Options{Reference: "A"})
				if len(ps) != 1 {
					t.Fatalf("seed %d: %+v", seed, ps)
				}
				within(t, ps[0], -c.by)
			}
		})
	}
}

// A clock that is set during the day has an offset before and another one after.
func TestSeveralOffsets(t *testing.T) {
	for name, c := range map[string]struct {
		before, after time.Duration
		counter       int64
	}{
		"summer time begins, an hour ahead": {0, time.Hour, 1},
		"set back by a quarter of an hour":  {15 * time.Minute, 0, 1},
		"set right, seven minutes ahead":    {-440 * time.Second, 0, 1},
		"set right, no counter":             {-440 * time.Second, 0, 0},
		"counter turns over":                {-1200 * time.Second, 0, 9700},
		"a battery swap":                    {0, time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC).Sub(noon.Add(5 * time.Hour)), 1},
		"a battery swap, counter turns":     {-300 * time.Second, time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC).Sub(noon.Add(5 * time.Hour)), 9700},
	} {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(4) {
				d := newDay(seed)
				d.shared = 0.15
				a, b := d.shoot(1000)
				// The clock is set in the pause after the fourth scene, at noon + 4.7 h.
				const set = 4.75 * 3600
				clock := func(at float64, _ int) time.Time {
					if at < set {
						return noon.Add(seconds64(at) + c.before)
					}
					return noon.Add(seconds64(at) + c.after)
				}
				in := append(frames("A", a, 2, 1, off(0)), frames("B", b, 2, c.counter, clock)...)
				ps := Find(in, Options{Reference: "A"})
				if len(ps) != 2 {
					t.Errorf("seed %d: %d proposals: %+v", seed, len(ps), ps)
					continue
				}
				first, last := ps[0], ps[1]
				if c.after < -time.Hour { // on the clock's face the later stretch comes first
					first, last = last, first
				}
				// An offset of the stretch before must not reach behind the setting.
				within(t, first, -c.before)
				within(t, last, -c.after)
				n := 0
				for _, s := range b {
					if s.at < set {
						n++
					}
				}
				if first.Frames != n {
					t.Errorf("seed %d: %d frames before the setting, want %d", seed, first.Frames, n)
				}
			}
		})
	}
}

// Where the clock's face shows one hour twice, it is found and said, and not sure.
func TestAmbiguousFace(t *testing.T) {
	d := newDay(3)
	d.shared = 0.15
	a, b := d.shoot(1000)
	clock := func(at float64, _ int) time.Time {
		if at < 5.3*3600 { // in the middle of a scene
			return noon.Add(seconds64(at) + 20*time.Minute)
		}
		return noon.Add(seconds64(at))
	}
	ps := Find(append(frames("A", a, 2, 1, off(0)), frames("B", b, 2, 1, clock)...), Options{Reference: "A"})
	if len(ps) != 2 {
		t.Fatalf("%+v", ps)
	}
	for i, want := range []time.Duration{-20 * time.Minute, 0} {
		p := ps[i]
		if (p.Add-want).Abs() > time.Second || p.Confidence != Likely || p.Reason == "" {
			t.Errorf("%+v", p)
		}
	}
}

// A clock that drifts by four seconds over the day has one offset, the middle one.
func TestDrift(t *testing.T) {
	for seed := range uint64(5) {
		d := newDay(seed)
		d.shared = 0.15
		a, b := d.shoot(1000)
		clock := func(at float64, _ int) time.Time {
			return noon.Add(seconds64(at+100) + seconds64(4*(at/36000-0.5)))
		}
		ps := Find(append(frames("A", a, 2, 1, off(0)), frames("B", b, 2, 1, clock)...), Options{Reference: "A"})
		if len(ps) != 1 {
			t.Fatalf("%+v", ps)
		}
		within(t, ps[0], -100*time.Second)
	}
}

// Days without one instant that both took: nothing may be called sure, and a
// likely offset should be rare.
func TestNoMatch(t *testing.T) {
	days := 200
	if testing.Short() {
		days = 40
	}
	for name, make := range map[string]func(d *day){
		"scenes of their own":    func(d *day) { d.venue = false },
		"the same scenes":        func(d *day) {},
		"one scene all day":      func(d *day) { d.scenes = 1 },
		"two hours, many scenes": func(d *day) { d.hours, d.scenes = 2, 20 },
		"two tripods":            func(d *day) { d.still = true },
		"forty frames":           func(d *day) { d.scenes = 3 },
	} {
		t.Run(name, func(t *testing.T) {
			sure, likely := 0, 0
			for seed := range uint64(days) {
				d := newDay(seed)
				d.shared = 0
				make(d)
				n := 400
				if name == "forty frames" {
					n = 40
				}
				a, b := d.shoot(n)
				for _, p := range Find(append(frames("A", a, 2, 1, off(0)), frames("B", b, 2, 1, off(time.Duration(d.r.IntN(7200)-3600)*time.Second))...), Options{}) {
					switch p.Confidence {
					case Sure:
						sure++
						t.Logf("seed %d: %+v", seed, p)
					case Likely:
						likely++
					default:
						if p.Reason == "" {
							t.Errorf("seed %d: no reason", seed)
						}
					}
				}
			}
			t.Logf("%d days: %d sure, %d likely", days, sure, likely)
			if sure > 0 || likely > days/20 {
				t.Errorf("%d sure, %d likely proposals of %d days without a match", sure, likely, days)
			}
		})
	}
}

func TestNothingToSay(t *testing.T) {
	d := newDay(1)
	a, _ := d.shoot(20)
	one := frames("A", a, 2, 1, off(0))
	for name, in := range map[string][]group.Frame{"no frames": nil, "one body": one} {
		if ps := Find(in, Options{}); ps != nil {
			t.Errorf("%s: %+v", name, ps)
		}
	}
}

func BenchmarkFind20000(b *testing.B) {
	d := newDay(1)
	x, y := d.shoot(10000)
	in := append(frames("A", x, 2, 1, off(0)), frames("B", y, 2, 1, off(440*time.Second))...)
	for b.Loop() {
		if ps := Find(in, Options{}); len(ps) != 1 || ps[0].Confidence != Sure {
			b.Fatalf("%+v", ps)
		}
	}
}
