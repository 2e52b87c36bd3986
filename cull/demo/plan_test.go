package demo

import (
	"fmt"
	"regexp"
	"testing"
	"time"

	"garner/cull/demo/stage"
)

func TestExactlyAsManyFramesAsAsked(t *testing.T) {
	for _, n := range []int{1, 2, 3, 7, 16, 40, 120, 1000, MaxFrames} {
		for seed := range int64(3) {
			p := newPlan(Options{Frames: n, Seed: seed})
			moments, bodies := 0, 0
			for _, m := range p.moments {
				moments += len(m.shots)
			}
			for _, b := range p.bodies {
				bodies += b.Frames
			}
			if len(p.shots) != n || moments != n || bodies != n {
				t.Errorf("asked for %d: %d shots, %d in moments, %d of bodies", n, len(p.shots), moments, bodies)
			}
		}
	}
}

// DCF 2.0: four characters of 0-9 A-Z a-z _ and four digits 0001 to 9999.
func TestNamesAreDCFAndUnique(t *testing.T) {
	dcf := regexp.MustCompile(`^[ABC]/[0-9A-Za-z_]{4}\d{4}\.(CR3|DNG|RAF|JPG)$`)
	for _, n := range []int{120, MaxFrames} {
		seen := map[string]bool{}
		for _, s := range newPlan(Options{Frames: n}).shots {
			for _, path := range s.truth.Paths {
				if !dcf.MatchString(path) || seen[path] {
					t.Errorf("name %q is not DCF or comes twice", path)
				}
				seen[path] = true
			}
			if s.number < 1 || s.number > 9999 {
				t.Errorf("file number %d", s.number)
			}
		}
	}
}

// The demo must hold what it promises for any seed.
func TestTheDefaultDayHasEverything(t *testing.T) {
	for seed := range int64(25) {
		p := newPlan(Options{Frames: DefaultFrames, Seed: seed})
		has := map[string]int{}
		for _, m := range p.moments {
			b := p.bodies[m.body].Letter
			has["body "+b]++
			has["scene "+m.view.Scene.Name()]++
			if m.bracket {
				has["bracket"]++
				evs := map[float64]bool{}
				for _, s := range m.shots {
					evs[s.ev] = true
				}
				if len(evs) != 3 {
					t.Errorf("seed %d: a bracket of %v", seed, evs)
				}
			}
			if n := len(m.shots); n >= 3 {
				has[fmt.Sprint("burst of ", b)]++
				if n > 9 {
					t.Errorf("seed %d: a burst of %d", seed, n)
				}
			}
			if m.view.Upright() {
				has["portrait format"]++
			}
			for _, s := range m.shots {
				has[s.kind]++
				for what, is := range map[string]bool{
					"pair": s.pair, "soft": s.truth.Soft, "under": s.ev < -1 && !m.bracket, "over": s.ev > 1 && !m.bracket,
					"broken": s.broken, "blink": s.blink, "rated": s.rating > 0,
				} {
					if is {
						has[what]++
					}
				}
			}
		}
		for _, what := range []string{"body A", "body B", "body C", "bracket", "burst of A", "burst of B", "portrait format",
			"CR3", "DNG", "RAF", "JPEG", "pair", "soft", "broken", "blink", "rated"} {
			if has[what] == 0 {
				t.Errorf("seed %d has no %s", seed, what)
			}
		}
		if has["under"]+has["over"] == 0 {
			t.Errorf("seed %d has no badly exposed frame", seed)
		}
		for s := stage.Scene(0); s < stage.Scenes; s++ {
			if has["scene "+s.Name()] == 0 {
				t.Errorf("seed %d has no %s", seed, s.Name())
			}
		}
		if has["broken"] != 1 {
			t.Errorf("seed %d has %d broken frames, want 1", seed, has["broken"])
		}
	}
}

func TestNamesClashBetweenTheTwoBodies(t *testing.T) {
	names := map[string]map[string]bool{"A": {}, "B": {}}
	for _, s := range newPlan(Options{Frames: DefaultFrames}).shots {
		if b := names[s.truth.Body]; b != nil {
			b[s.truth.Paths[0][2:]] = true
		}
	}
	clash := 0
	for n := range names["A"] {
		if names["B"][n] {
			clash++
		}
	}
	if clash < 10 {
		t.Errorf("%d names are on both bodies", clash)
	}
	c := cameras()
	if c[bodyA].Model != c[bodyB].Model || c[bodyA].Make != c[bodyB].Make || c[bodyA].Serial == c[bodyB].Serial {
		t.Error("the two bodies should be one model with two serial numbers")
	}
}

// Eight to ten frames a second, in order, and numbered in order.
func TestPaceAndNumbers(t *testing.T) {
	p := newPlan(Options{Frames: 400})
	for _, m := range p.moments {
		for i := 1; i < len(m.shots); i++ {
			gap := m.shots[i].after - m.shots[i-1].after
			if m.body != guest && (gap < 80*time.Millisecond || gap > 140*time.Millisecond) {
				t.Errorf("a gap of %v inside a burst", gap)
			}
			if m.body == guest && gap < time.Second {
				t.Errorf("the guest's camera took two frames within %v", gap)
			}
			if m.shots[i].number <= m.shots[i-1].number {
				t.Errorf("file number %d follows %d", m.shots[i].number, m.shots[i-1].number)
			}
		}
	}
	last := time.Time{}
	for _, s := range p.shots {
		if s.truth.Time.Before(last) {
			t.Fatal("the truth is not in the order of time")
		}
		last = s.truth.Time
	}
}

// Scenes are far apart, moments within one are near: the pauses between scenes
// must stand out at least tenfold, for small shoots and large ones.
func TestScenesAreApart(t *testing.T) {
	for _, n := range []int{60, 120, 1000, 4000} {
		p := newPlan(Options{Frames: n})
		var inside, between time.Duration = 0, 24 * time.Hour
		for i := 1; i < len(p.shots); i++ {
			a, b := p.shots[i-1].truth, p.shots[i].truth
			gap := b.Time.Sub(a.Time)
			if b.Scene < a.Scene {
				t.Fatalf("%d frames: scene %d follows scene %d", n, b.Scene, a.Scene)
			}
			if a.Scene == b.Scene {
				inside = max(inside, gap)
			} else {
				between = min(between, gap)
			}
		}
		if between < 10*inside {
			t.Errorf("%d frames: %v between scenes, up to %v inside one", n, between, inside)
		}
		if day := p.shots[len(p.shots)-1].truth.Time.Sub(p.shots[0].truth.Time); day > 16*time.Hour {
			t.Errorf("%d frames take %v", n, day)
		}
	}
}

func TestOrderHoldsEveryPictureOnce(t *testing.T) {
	for s := stage.Scene(0); s < stage.Scenes; s++ {
		seen := map[int]bool{}
		for _, k := range order(s) {
			seen[k] = k >= 0 && k < s.Kinds()
		}
		if len(seen) != s.Kinds() || len(order(s)) != s.Kinds() {
			t.Errorf("%s: order %v for %d pictures", s.Name(), order(s), s.Kinds())
		}
	}
}

// The kiss comes after the vows and the petals last, whichever was chosen first.
func TestCeremonyTakesItsCourse(t *testing.T) {
	last := -1
	for _, m := range newPlan(Options{Frames: 150}).moments {
		if m.view.Scene == stage.Ceremony && m.cycle == 0 {
			if m.view.Kind < last {
				t.Errorf("picture %d is taken after picture %d", m.view.Kind, last)
			}
			last = m.view.Kind
		}
	}
	if last != 5 {
		t.Errorf("the ceremony ends with picture %d, want the petals", last)
	}
}

func TestSeedsMakeOtherDays(t *testing.T) {
	a, b, c := newPlan(Options{Frames: 60, Seed: 1}), newPlan(Options{Frames: 60, Seed: 1}), newPlan(Options{Frames: 60, Seed: 2})
	same, other := 0, 0
	for i := range a.shots {
		if a.shots[i].seed == b.shots[i].seed && a.shots[i].truth.Time.Equal(b.shots[i].truth.Time) {
			same++
		}
		if a.shots[i].truth.Time.Equal(c.shots[i].truth.Time) {
			other++
		}
	}
	if same != 60 || other == 60 {
		t.Errorf("%d of 60 shots are the same for one seed, %d for another", same, other)
	}
}
