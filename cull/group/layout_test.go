package group

import (
	"fmt"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"garner/cull"
)

func genFrames() *rapid.Generator[[]Frame] {
	one := rapid.Custom(func(t *rapid.T) Frame {
		f := Frame{
			Body: rapid.SampledFrom([]string{"", "A", "A", "B"}).Draw(t, "body"), Counter: rapid.Int64Range(0, 9).Draw(t, "counter"),
			Name:        rapid.SampledFrom([]string{"a", "b", "c", "d"}).Draw(t, "name"),
			Fingerprint: rapid.SampledFrom([]uint64{0, 1<<10 - 1, 1<<20 - 1, 1 << 63}).Draw(t, "fingerprint"), HasFingerprint: rapid.Bool().Draw(t, "seen"),
			AutoBracket: rapid.Bool().Draw(t, "bracket"),
		}
		if rapid.IntRange(0, 9).Draw(t, "timed") > 0 {
			f.Time = cull.Stamp{Wall: dayStart.Add(rapid.SampledFrom([]time.Duration{0, 100, 200, 1000, 1500, 90_000, 3_600_000, 7_200_000}).Draw(t, "time") * time.Millisecond), Digits: rapid.IntRange(0, 3).Draw(t, "digits")}
		}
		if rapid.Bool().Draw(t, "biased") {
			v := rapid.SampledFrom([]float64{-1, 0, 1}).Draw(t, "bias")
			f.Bias = &v
		}
		return f
	})
	return rapid.Map(rapid.SliceOfN(one, 0, 30), func(frames []Frame) []Frame {
		for i := range frames {
			frames[i].ID = cull.ID(fmt.Sprintf("%016x", i))
		}
		return frames
	})
}

// TestLayoutHolds: every frame once, moments and scenes in one run each,
// moments of one body, scenes that split no moment, whatever the order of the
// input.
func TestLayoutHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		frames := genFrames().Draw(t, "frames")
		l := Layout(frames, Options{})
		if again := Layout(shuffled(frames, rapid.Uint64().Draw(t, "seed")), Options{}); !reflect.DeepEqual(again, l) {
			t.Fatalf("another order of input gives another layout:\n%s\n%s", groups(l, frames), groups(again, frames))
		}
		byID, seen := map[cull.ID]Frame{}, map[cull.ID]bool{}
		for _, f := range frames {
			byID[f.ID] = f
		}
		for i, p := range l.Places {
			if _, ok := byID[p.Frame]; !ok || seen[p.Frame] {
				t.Fatalf("%s is in the layout twice or was never given", p.Frame)
			}
			seen[p.Frame] = true
			if i == 0 {
				if p.Moment != 0 || p.Scene != 0 {
					t.Fatal("moments and scenes begin at 0")
				}
				continue
			}
			before := l.Places[i-1]
			newMoment, newScene := p.Moment-before.Moment, p.Scene-before.Scene
			if newMoment != 0 && newMoment != 1 || newScene != 0 && newScene != 1 || newScene == 1 && newMoment == 0 {
				t.Fatalf("place %d: moment %d after %d, scene %d after %d", i, p.Moment, before.Moment, p.Scene, before.Scene)
			}
			if newMoment == 0 && (byID[p.Frame].Body != byID[before.Frame].Body || byID[p.Frame].Body == "" || p.Kind != before.Kind || p.Kind == cull.Single) {
				t.Fatalf("%v and %v are one moment", byID[p.Frame], byID[before.Frame])
			}
			if newScene == 1 && l.Scenes[p.Scene].First != p.Frame {
				t.Fatal("the scene's first frame is another")
			}
		}
		if len(seen) != len(frames) {
			t.Fatalf("%d of %d frames", len(seen), len(frames))
		}
	})
}

// day makes a day of n frames: bursts of six by two bodies, a pause of half an
// hour after every 600.
func day(n int) []Frame {
	var b shoot
	for i := range n {
		body := "A"
		if i/6%2 == 1 {
			body = "B"
		}
		b.add(body, float64(i/600*1800)+float64(i/6)*4+float64(i%6)/10, uint64(i/6))
	}
	return shuffled(b.frames, 1)
}

func TestDay(t *testing.T) {
	l := Layout(day(6000), Options{})
	if got := l.Places[5999].Moment + 1; got != 1000 {
		t.Errorf("%d moments, want 1000", got)
	}
	if len(l.Scenes) != 10 {
		t.Errorf("%d scenes, want 10", len(l.Scenes))
	}
}

func BenchmarkLayout(b *testing.B) {
	for _, n := range []int{5000, 10000, 20000} {
		frames := day(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Layout(frames, Options{})
			}
		})
	}
}
