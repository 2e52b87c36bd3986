package match

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/group"
)

// The order in which frames come changes nothing.
func TestOrderDoesNotMatter(t *testing.T) {
	d := newDay(5)
	a, b := d.shoot(400)
	in := append(frames("A", a, 2, 1, off(0)), frames("B", b, 0, 9900, off(-time.Hour))...)
	in = append(in, frames("C", a[:40], 1, 0, off(time.Minute))...)
	want := Find(in, Options{})
	for seed := range uint64(5) {
		rand.New(rand.NewPCG(seed, 3)).Shuffle(len(in), func(i, j int) { in[i], in[j] = in[j], in[i] })
		if got := Find(in, Options{}); !reflect.DeepEqual(got, want) {
			t.Fatalf("seed %d: %+v, want %+v", seed, got, want)
		}
	}
}

// Whatever files say, nothing panics, and every frame that could be compared is in
// one stretch of its body.
func TestAnyFrames(t *testing.T) {
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 4))
		var in []group.Frame
		bodies := 1 + r.IntN(4)
		count := map[string]int{}
		for i := range r.IntN(120) {
			f := group.Frame{ID: cull.ID(fmt.Sprint(i)), Body: fmt.Sprint(r.IntN(bodies)), HasFingerprint: r.IntN(9) > 0, Fingerprint: r.Uint64() << (r.IntN(2) * r.IntN(64)),
				Counter: []int64{0, 1, int64(i), 9999, math.MinInt64, math.MaxInt64, r.Int64N(9999)}[r.IntN(7)]}
			if r.IntN(9) > 0 {
				f.Time = cull.Stamp{Wall: noon.Add(time.Duration(r.Int64N(int64(48 * time.Hour)))), Digits: r.IntN(4)}
			}
			if r.IntN(20) == 0 {
				f.Time.Wall = time.Date([]int{1, 1970, 2020, 9999}[r.IntN(4)], 1, 1, 0, 0, 0, 0, time.UTC)
			}
			if r.IntN(20) == 0 {
				f.Body = ""
			}
			in = append(in, f)
			if f.Body != "" && f.HasFingerprint && f.Time.Known() {
				count[f.Body]++
			}
		}
		got := map[string]int{}
		for _, p := range Find(in, Options{}) {
			got[p.Body] += p.Frames
			if p.Body == p.Against || p.Confidence != Sure && p.Reason == "" {
				t.Errorf("seed %d: %+v", seed, p)
			}
		}
		for body, n := range got {
			if n != count[body] {
				t.Errorf("seed %d: body %s has %d frames in its stretches, want %d", seed, body, n, count[body])
			}
		}
	}
}

// Frames that all look alike are not compared one with every other: the pairs stay
// in proportion to the frames.
func TestAllAlike(t *testing.T) {
	make := func(body string, n int) *track {
		var shots []shot
		for i := range n {
			shots = append(shots, shot{at: 40 * float64(i)})
		}
		return newTrack(body, frames(body, shots, 2, 1, off(0)))
	}
	for _, n := range [][2]int{{3000, 40}, {40, 3000}, {2000, 2000}} {
		a, b := make("A", n[0]), make("B", n[1])
		if got := len(nearest(a, b)); got > generic*min(n[0], n[1]) {
			t.Errorf("%v frames: %d pairs", n, got)
		}
	}
}

// One who follows the other along a row at one pace takes all of it so much later.
// Nothing but that stretch matches, and it is no clock that is wrong.
func TestFollowing(t *testing.T) {
	for seed := range uint64(10) {
		r := rand.New(rand.NewPCG(seed, 77))
		var in []group.Frame
		add := func(body string, at float64, look uint64) {
			in = append(in, group.Frame{ID: cull.ID(fmt.Sprint(body, len(in))), Body: body, HasFingerprint: true, Fingerprint: look,
				Time: cull.Stamp{Wall: noon.Add(time.Duration(at * float64(time.Second))), Digits: 2}})
		}
		at := 0.0
		for range 300 {
			at += r.ExpFloat64() * 60
			add("A", at, r.Uint64())
			add("B", at+50*r.Float64(), r.Uint64())
		}
		at += 600
		for range 20 {
			at += 18 + 10*r.Float64()
			look := r.Uint64()
			add("A", at, look)
			add("B", at+60+r.NormFloat64(), look^1<<r.IntN(64)^1<<r.IntN(64))
		}
		for _, p := range Find(in, Options{}) {
			if p.Confidence == Sure {
				t.Errorf("seed %d: %+v", seed, p)
			}
		}
	}
}

// A counter that has nothing to do with the clock tells no order: the day is that of
// the clock, and is not taken to pieces.
func TestCounterWithoutOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 78))
	const n = 2000
	palette := make([]uint64, n/3)
	for i := range palette {
		palette[i] = r.Uint64()
	}
	any := r.Perm(n)
	var in []group.Frame
	for i := range n {
		for _, body := range []string{"A", "B"} {
			f := group.Frame{ID: cull.ID(fmt.Sprint(body, i)), Body: body, HasFingerprint: true, Fingerprint: palette[r.IntN(len(palette))], Counter: int64(i + 1),
				Time: cull.Stamp{Wall: noon.Add(time.Duration(i) * 4 * time.Second), Digits: 2}}
			if body == "B" {
				f.Counter = int64(any[i] + 1)
			}
			in = append(in, f)
		}
	}
	if p := Find(in, Options{}); len(p) != 1 || p[0].Frames != n || p[0].Confidence != CannotTell {
		t.Errorf("%d stretches, %+v", len(p), p[0])
	}
}
