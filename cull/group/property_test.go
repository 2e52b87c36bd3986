package group

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"garner/cull"
	"garner/testdata/testday"
)

// TestDayHolds: whatever the clocks say, every frame of a day stands in the layout
// once, moments, sets and scenes are one run each, a moment is of one body, and no
// order of the input changes anything.
func TestDayHolds(t *testing.T) {
	for seed := range uint64(2) {
		d := testday.New(seed, small())
		for _, corrected := range []bool{true, false} {
			frames := framesOf(d, corrected)
			l := Layout(frames, Options{})
			body := map[cull.ID]string{}
			for _, f := range frames {
				body[f.ID] = f.Body
			}
			moments, sets, scenes := map[int]cull.ID{}, map[int]int{}, map[int]int{}
			seen := map[cull.ID]bool{}
			for i, p := range l.Places {
				if body[p.Frame] == "" || seen[p.Frame] {
					t.Fatalf("%s is there twice or was never given", p.Frame)
				}
				seen[p.Frame] = true
				if first, known := moments[p.Moment]; !known {
					moments[p.Moment] = p.Frame
				} else if l.Places[i-1].Moment != p.Moment || body[first] != body[p.Frame] {
					t.Fatalf("moment %d is in two pieces or of two bodies", p.Moment)
				}
				if _, known := scenes[p.Scene]; known && l.Places[i-1].Scene != p.Scene {
					t.Fatalf("scene %d is in two pieces", p.Scene)
				}
				scenes[p.Scene] = i
				if _, known := sets[p.Alike]; p.Alike > 0 && known && l.Places[i-1].Alike != p.Alike {
					t.Fatalf("look-alikes %d are in two pieces", p.Alike)
				}
				sets[p.Alike] = i
			}
			if len(l.Places) != len(frames) {
				t.Fatalf("%d places for %d frames", len(l.Places), len(frames))
			}
			for k := range uint64(3) {
				if !reflect.DeepEqual(Layout(shuffled(frames, k), Options{}), l) {
					t.Fatalf("day %d, shuffled by %d: another layout", seed, k)
				}
			}
		}
	}
}

// doubled gives frames that were taken at half the pace.
func doubled(frames []Frame) []Frame {
	out := slices.Clone(frames)
	for i, f := range out {
		if f.Time.Known() {
			out[i].Time.Wall = dayStart.Add(2 * f.Time.Wall.Sub(dayStart))
		}
	}
	return out
}

func sceneBegins(l cull.Layout) (out []cull.ID) {
	for _, s := range l.Scenes {
		out = append(out, s.First)
	}
	return out
}

// TestPaceDoesNotMatter: at half the pace a day has the same scenes, since what
// counts as a pause is measured against those around it. (Bursts and the time
// within which things are look-alikes are measured by the second: the frames are
// lone ones.)
func TestPaceDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s shoot
		at := 0.
		for i := range rapid.IntRange(2, 120).Draw(t, "frames") {
			f := s.add(rapid.SampledFrom([]string{"A", "A", "B"}).Draw(t, "body"), at, uint64(i))
			f.EV100, f.HasEV = rapid.Float64Range(1, 15).Draw(t, "light"), rapid.Bool().Draw(t, "known")
			at += rapid.SampledFrom([]float64{2, 3, 5, 9, 20, 60, 200, 900, 4000}).Draw(t, "pause")
		}
		want, got := sceneBegins(Layout(s.frames, Options{})), sceneBegins(Layout(doubled(s.frames), Options{}))
		if !slices.Equal(got, want) {
			t.Fatalf("scenes begin at %v, at half the pace at %v", want, got)
		}
	})
	for seed := range uint64(2) {
		d := testday.New(seed, small())
		var lone []Frame // the first frame of each moment
		known := map[int]bool{}
		for i, f := range framesOf(d, true) {
			if m := d.Frames[i].Truth.Moment; !known[m] {
				known[m] = true
				lone = append(lone, f)
			}
		}
		want, got := sceneBegins(Layout(lone, Options{})), sceneBegins(Layout(doubled(lone), Options{}))
		if !slices.Equal(got, want) {
			t.Errorf("day %d: scenes begin at %v, at half the pace at %v", seed, want, got)
		}
	}
}

// TestBoundariesOfAnyPace: the published rule itself is one of proportions.
func TestBoundariesOfAnyPace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var gaps, twice []time.Duration
		for range rapid.IntRange(0, 80).Draw(t, "gaps") {
			g := time.Duration(rapid.IntRange(1000, 9_000_000).Draw(t, "milliseconds")) * time.Millisecond
			gaps, twice = append(gaps, g), append(twice, 2*g)
		}
		if want, got := Boundaries(gaps), Boundaries(twice); !slices.Equal(got, want) {
			t.Fatalf("%v: boundaries %v, doubled %v", gaps, want, got)
		}
	})
}

// TestLateCards: a day of which a card, some frames, or what was measured of them
// come later is grouped as if all had been there from the start.
func TestLateCards(t *testing.T) {
	nothing := func(cull.ID) bool { return false }
	for seed := range uint64(3) {
		frames := framesOf(testday.New(seed, small()), true)
		want := Layout(frames, Options{})
		r := rand.New(rand.NewPCG(seed, 9))
		for what, keep := range map[string]func(Frame) bool{
			"the second body's card": func(f Frame) bool { return f.Body != testday.Second },
			"the telephone":          func(f Frame) bool { return f.Body != testday.Phone },
			"every tenth frame":      func(Frame) bool { return r.IntN(10) > 0 },
			"the afternoon":          func(f Frame) bool { return f.Time.Wall.Hour() < 14 },
		} {
			var early []Frame
			for _, f := range frames {
				if keep(f) {
					early = append(early, f)
				}
			}
			got, n := Update(Layout(early, Options{}), frames, nothing, Options{})
			if !reflect.DeepEqual(got, want) {
				t.Errorf("day %d: %s came late: another layout (%d of %d frames grouped anew)", seed, what, n, len(frames))
			}
		}
		blind := slices.Clone(frames)
		changed := map[cull.ID]bool{}
		for i := range blind {
			if r.IntN(20) == 0 {
				changed[blind[i].ID] = true
				blind[i].Look, blind[i].HasFingerprint = nil, false
			}
		}
		got, _ := Update(Layout(blind, Options{}), frames, func(id cull.ID) bool { return changed[id] }, Options{})
		if !reflect.DeepEqual(got, want) {
			t.Errorf("day %d: looks came late: another layout", seed)
		}
	}
}

// late gives frames that were taken on a day of their own.
func late(frames []Frame, n int, after time.Duration) (out []Frame) {
	for i, f := range frames[:n] {
		f.ID = cull.ID(fmt.Sprintf("%04x%s", 0xf000+i/4096, f.ID[4:]))
		f.Time.Wall, f.Name = f.Time.Wall.Add(after), "L/"+f.Name
		out = append(out, f)
	}
	return out
}
