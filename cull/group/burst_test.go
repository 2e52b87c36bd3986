package group

import (
	"fmt"
	"testing"
	"time"

	"garner/cull"
)

func wantGroups(t *testing.T, b shoot, want string) {
	t.Helper()
	if got := groups(Layout(shuffled(b.frames, 3), Options{}), b.frames); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestBursts(t *testing.T) {
	t.Run("pause", func(t *testing.T) {
		var b shoot
		for _, s := range []float64{0, .11, .21, 1.3, 2.5, 3.2, 5} {
			b.add("A", s, 1)
		}
		wantGroups(t, b, "1 2 3 | 4 5 6 | 7")
	})
	t.Run("its own pace ends a burst", func(t *testing.T) {
		for _, tc := range []struct {
			what  string
			at    []float64
			truth string
		}{
			{"half a second at ten a second", []float64{0, .11, .2, .31, .81, .91, 1.01}, "1 2 3 4 | 5 6 7"},
			{"half a second after two", []float64{0, .11, .61, .71}, "1 2 | 3 4"},
			{"a full buffer", []float64{0, .11, .2, .31, .65, 1.01, 1.33}, "1 2 3 4 5 6 7"},
			{"a finger, uneven", []float64{.01, .71, 1.91, 2.71, 3.91, 4.61}, "1 2 3 4 5 6"},
			{"a finger, then held down", []float64{.01, .81, 1.61, 2.41, 2.51, 2.61, 2.71}, "1 2 3 | 4 5 6 7"},
			{"three a second", []float64{.01, .34, .67, 1.01, 2.01, 2.34, 2.67}, "1 2 3 4 | 5 6 7"},
			{"two a second, one missing", []float64{.01, .51, 1.01, 2.01, 2.51}, "1 2 3 4 5"},
		} {
			var b shoot
			for _, s := range tc.at {
				b.add("A", s, 1)
			}
			if got := groups(Layout(shuffled(b.frames, 3), Options{}), b.frames); got != tc.truth {
				t.Errorf("%s: %s, want %s", tc.what, got, tc.truth)
			}
		}
	})
	t.Run("in quick succession looks may differ", func(t *testing.T) {
		var b shoot
		for i := range 4 {
			b.add("A", float64(i)*.3+.01, uint64(i))
		}
		wantGroups(t, b, "1 2 3 4")
		for i := range b.frames { // but not for ever
			b.frames[i].Time.Wall = b.frames[i].Time.Wall.Add(time.Duration(i) * 200 * time.Millisecond)
		}
		wantGroups(t, b, "1 | 2 | 3 | 4")
	})
	t.Run("something gets in the way", func(t *testing.T) {
		var b shoot
		for i, look := range []uint64{1, 1, 1, 9, 1, 1, 1} {
			b.add("A", float64(i)/10+.01, look)
		}
		wantGroups(t, b, "1 2 3 4 5 6 7")
	})
	t.Run("another subject in the same second", func(t *testing.T) {
		var b shoot
		for i, look := range []uint64{1, 1, 1, 2, 2, 3} {
			b.add("A", float64(i)/10, look)
		}
		wantGroups(t, b, "1 2 3 | 4 5 | 6")
	})
	t.Run("two bodies at once stay one run each", func(t *testing.T) {
		var b shoot
		for i := range 4 {
			b.add("A", float64(i)/10, 1)
			b.add("B", float64(i)/10+.05, 1)
		}
		wantGroups(t, b, "1 3 5 7 | 2 4 6 8")
	})
	t.Run("an unknown body is never grouped", func(t *testing.T) {
		var b shoot
		for i := range 3 {
			b.add("", float64(i)/10, 1)
		}
		wantGroups(t, b, "1 | 2 | 3")
	})
	t.Run("a pan does not run away", func(t *testing.T) {
		var b shoot
		for i := range 16 { // four bits a frame: neighbours alike, the tenth a stranger to the first
			b.add("A", float64(i)/10, 0).Fingerprint = 1<<(4*i) - 1
		}
		wantGroups(t, b, "1 2 3 4 | 5 6 7 8 | 9 10 11 12 | 13 14 15 16")
	})
	t.Run("a tripod does not run away", func(t *testing.T) {
		var b shoot
		for i := range 70 {
			b.add("A", float64(i), 1)
		}
		l := Layout(b.frames, Options{})
		if got := l.Places[69].Moment + 1; got < 3 || got > 5 {
			t.Errorf("70 s of like frames are %d moments, want 3 to 5", got)
		}
		for i, p := range l.Places {
			for _, q := range l.Places[:i] {
				if p.Moment == q.Moment && p.Corrected.Wall.Sub(q.Corrected.Wall) > 30*time.Second {
					t.Fatalf("a burst of more than 30 s")
				}
			}
		}
	})
	t.Run("slower frames must be more alike", func(t *testing.T) {
		var b shoot
		for i, s := range []float64{0, .1, 1.5} {
			b.add("A", s, 0).Fingerprint = 1<<(16*i) - 1
		}
		wantGroups(t, b, "1 2 | 3")
	})
	t.Run("whole seconds", func(t *testing.T) {
		var b shoot
		for i, s := range []float64{0, 0, 0, 1, 1, 3} {
			f := b.add("A", s, 1)
			f.Time.Digits = 0
			f.Counter = int64([]int{9998, 9999, 10000, 1, 2, 3}[i])
		}
		wantGroups(t, b, "1 2 3 4 5 | 6")
	})
	t.Run("whole seconds and another look", func(t *testing.T) {
		at := func(seconds ...float64) (b shoot) {
			for i, s := range seconds {
				b.add("A", s, 0).Fingerprint = 1<<(22*i) - 1
				b.frames[i].Time.Digits = 0
			}
			return b
		}
		wantGroups(t, at(0, 0), "1 | 2")    // nearly a second may lie between them
		wantGroups(t, at(0, 0, 0), "1 2 3") // three of one second, none in between: quick ones
		wantGroups(t, at(0, 0, 1), "1 | 2 | 3")
		gap := at(0, 0, 0)
		gap.frames[2].Counter = 9
		wantGroups(t, gap, "1 | 2 | 3")
	})
	t.Run("a fraction that is always 0 is none", func(t *testing.T) {
		var b shoot
		for _, s := range []float64{7, 7, 7, 8, 8, 8, 11} {
			b.add("A", s, 1)
		}
		wantGroups(t, b, "1 2 3 4 5 6 | 7")
	})
	t.Run("on the turn of a second what was quick goes on as it was", func(t *testing.T) {
		var b shoot
		for i, s := range []float64{0, 0, 0, 1, 1, 1} {
			f := b.add("A", s, 0)
			f.Time.Digits, f.Fingerprint = 0, 1<<(2*i)-1
		}
		wantGroups(t, b, "1 2 3 4 5 6")
		for i := range 3 {
			b.frames[3+i].Fingerprint |= 0xff << 40
		}
		wantGroups(t, b, "1 2 3 | 4 5 6")
	})
	t.Run("the counter starts again", func(t *testing.T) {
		var b shoot
		for i, n := range []int64{9997, 9999, 1, 2, 4, 20} {
			f := b.add("A", 0, 1)
			f.Time, f.Counter, f.Name = cull.Stamp{}, n, fmt.Sprintf("A/%02d", i)
		}
		wantGroups(t, b, "A/00 A/01 A/02 A/03 A/04 | A/05")
	})
	t.Run("no time", func(t *testing.T) {
		var b shoot
		for i := range 5 {
			f := b.add("A", 0, 1)
			f.Time = cull.Stamp{}
			f.Counter = int64([]int{1, 2, 4, 7, 8}[i])
		}
		wantGroups(t, b, "1 2 3 | 4 5") // with room for one deleted
		timed := b
		timed.frames = append([]Frame{}, b.frames...)
		timed.frames[0].Time.Wall = dayStart // a time is known or not for a whole moment
		wantGroups(t, timed, "1 || 2 3 | 4 5")
		for i := range b.frames {
			b.frames[i].Counter = 0
		}
		wantGroups(t, b, "1 | 2 | 3 | 4 | 5")
	})
	t.Run("no fingerprint", func(t *testing.T) {
		var b shoot
		for _, s := range []float64{0, .1, .2, .6} {
			b.add("A", s, 1).HasFingerprint = false
		}
		wantGroups(t, b, "1 2 3 | 4")
	})
}

func TestOrder(t *testing.T) {
	var b shoot
	b.add("B", 5, 1) // 1
	b.add("A", 5, 2) // 2: the same instant, an earlier name
	b.add("A", 1, 3) // 3
	late := b.add("A", 0, 4)
	late.Time, late.Name = cull.Stamp{}, "A/AAA_0004"
	wantGroups(t, b, "3 | 2 | 1 || 4")

	// The names start again within one second: the counter knows.
	var c shoot
	for i, n := range []int64{9998, 9999, 1, 2} {
		f := c.add("A", 0, uint64(i))
		f.Counter, f.Time.Digits = n, 0
	}
	c.frames[2].Name, c.frames[3].Name = "A/IMG_0000_3", "A/IMG_0000_4"
	wantGroups(t, c, "1 2 3 4") // four of one second: time alone decides
}

func TestOf(t *testing.T) {
	add := 440 * time.Second
	body := cull.Body{Offsets: []cull.Offset{{Add: add}}}
	bias := -1.0
	f := cull.Frame{ID: "0123456789abcdef", Name: "B/IMG_1", Body: "serial:X:1", Taken: cull.Stamp{Wall: dayStart, Digits: 2},
		Shot: cull.Shot{FNumber: 2.8, Seconds: 1. / 200, ISO: 3200, Bias: &bias, Counter: 7, AutoBracket: true}, Fingerprint: 5, HasFingerprint: true}
	g := Of(f, body, nil)
	if !g.Time.Wall.Equal(dayStart.Add(add)) || !g.HasEV || g.Body != f.Body || g.Counter != 7 || g.Bias != &bias || !g.AutoBracket || g.Fingerprint != 5 || g.Name != f.Name || g.ID != f.ID {
		t.Errorf("%+v", g)
	}
}
