package group

import (
	"slices"
	"testing"
	"time"
)

func gapsOf(parts ...[2]float64) (gaps []time.Duration) {
	for _, p := range parts { // count × seconds
		for range int(p[0]) {
			gaps = append(gaps, time.Duration(p[1]*float64(time.Second)))
		}
	}
	return gaps
}

// TestBoundaries holds the rule against values worked by hand from its formula
// with K = log 17 and d = 10: within a full window of 21 gaps of b seconds, one
// gap G is a boundary iff log G ≥ log 17 + (20 log b + log G)/21, that is
// G ≥ b·17^(21/20).
func TestBoundaries(t *testing.T) {
	for _, tc := range []struct {
		base, no, yes float64
	}{{10, 195, 196}, {10, 195.87, 195.88}, {1, 19.58, 19.59}, {2, 39.16, 39.18}, {30, 587.5, 587.7}} {
		if got := Boundaries(gapsOf([2]float64{10, tc.base}, [2]float64{1, tc.no}, [2]float64{10, tc.base})); got != nil {
			t.Errorf("base %v s, gap %v s: %v, want none", tc.base, tc.no, got)
		}
		if got := Boundaries(gapsOf([2]float64{10, tc.base}, [2]float64{1, tc.yes}, [2]float64{10, tc.base})); !slices.Equal(got, []int{10}) {
			t.Errorf("base %v s, gap %v s: %v, want [10]", tc.base, tc.yes, got)
		}
	}
	list := gapsOf([2]float64{12, 5}, [2]float64{1, 900}, [2]float64{12, 5}, [2]float64{1, 3600}, [2]float64{12, 20})
	if got := Boundaries(list); !slices.Equal(got, []int{12, 25}) {
		t.Errorf("worked list: %v, want [12 25]", got)
	}
	for i := range list {
		list[i] *= 2
	}
	if got := Boundaries(list); !slices.Equal(got, []int{12, 25}) {
		t.Errorf("doubled: %v, want [12 25]", got)
	}
	zero := gapsOf([2]float64{12, 0}, [2]float64{1, 19.6}, [2]float64{12, 0.3})
	if got := Boundaries(zero); !slices.Equal(got, []int{12}) {
		t.Errorf("gaps below a second count as one: %v, want [12]", got)
	}
	if got := Boundaries(nil); got != nil {
		t.Errorf("no gaps: %v", got)
	}
}

func TestScenes(t *testing.T) {
	var b shoot
	// Preparations: singles 20 s apart; a pause of 45 min; the ceremony: bursts
	// 15 s apart.
	for i := range 12 {
		b.add("A", float64(20*i), 0)
	}
	for i := range 12 {
		for k := range 5 {
			start := 3000 + 15*float64(i)
			b.add("A", start+float64(k)/10, 1)
		}
	}
	b.frames = append(b.frames, Frame{ID: "x", Name: "A/IMG_9000", Body: "A"})
	l := Layout(b.frames, Options{})
	var got []string
	for _, s := range l.Scenes {
		got = append(got, s.Name)
	}
	if want := []string{"01", "02", "03"}; !slices.Equal(got, want) {
		t.Fatalf("scenes %v, want %v", got, want)
	}
	if l.Scenes[1].First != b.frames[12].ID || l.Scenes[2].First != "x" || l.Places[len(l.Places)-1].Scene != 2 {
		t.Errorf("scenes begin at %v", l.Scenes)
	}
}

// TestPauseAfterABurst: another body's frame during a long burst does not lengthen
// the pause after the burst.
func TestPauseAfterABurst(t *testing.T) {
	scenes := func(pause float64) int {
		var s shoot
		at := 0.
		for i := range 12 {
			s.add("A", at, uint64(i))
			at += 2
		}
		for i := range 20 {
			s.add("A", at+float64(i), 99)
		}
		s.add("B", at+1, 98)
		at += 19 + pause
		for i := range 12 {
			s.add("A", at+2*float64(i), uint64(100+i))
		}
		return len(Layout(s.frames, Options{}).Scenes)
	}
	if n := scenes(30); n != 1 {
		t.Errorf("a pause of 30 s, 48 s from the other body's frame: %d scenes, want 1", n)
	}
	if n := scenes(90); n != 2 {
		t.Errorf("a pause of 90 s: %d scenes, want 2", n)
	}
}

// TestLightAndPlace: the same pause is a scene where the light changes with it, and
// none where it does not, though there the published rule alone would see one.
func TestLightAndPlace(t *testing.T) {
	no, yes := false, true
	for _, tc := range []struct {
		name   string
		pause  float64
		before func(*Frame)
		after  func(*Frame)
		want   int
	}{
		{"nothing known, below the published factor", 170, func(*Frame) {}, func(*Frame) {}, 1},
		{"nothing known, above it", 230, func(*Frame) {}, func(*Frame) {}, 2},
		{"the same light", 1200, evenLight(8, &no), evenLight(8, &no), 1},
		{"out into the sun", 160, evenLight(6, &no), evenLight(13, &no), 2},
		{"the flash is put on", 180, evenLight(6, &no), evenLight(6, &yes), 2},
		{"out into the sun, at once", 20, evenLight(6, &no), evenLight(13, &no), 1},
	} {
		var s shoot
		at := 0.
		for i := range 24 {
			f := s.add("A", at, uint64(i))
			f.HasFingerprint = false
			if tc.before(f); i >= 12 {
				tc.after(f)
			}
			if at += 10; i == 11 {
				at += tc.pause - 10
			}
		}
		if l := Layout(s.frames, Options{}); len(l.Scenes) != tc.want {
			t.Errorf("%s: %d scenes, want %d", tc.name, len(l.Scenes), tc.want)
		}
	}
}

func evenLight(ev float64, flash *bool) func(*Frame) {
	return func(f *Frame) { f.EV100, f.HasEV, f.Flash = ev, true, flash }
}
