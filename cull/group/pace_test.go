package group

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"garner/cull"
)

// TestPace takes bursts at every pace of a body or a finger, all of one look, with
// these pauses between them: time alone has to find them.
func TestPace(t *testing.T) {
	for _, tc := range []struct {
		what        string
		least, most float64 // seconds between frames
		pause       float64 // between bursts, up to half as much again
		digits      int
		f1          float64
	}{
		{"20 a second, half a second between", .045, .055, .5, 2, .99},
		{"10 a second, half a second between", .09, .11, .5, 2, .99},
		{"10 a second, tenths, half a second between", .09, .11, .5, 1, .99},
		{"10 a second, a second between", .09, .11, 1, 2, .99},
		{"5 a second, a second between", .18, .22, 1, 2, .99},
		{"3 a second, a second between", .3, .36, 1.1, 2, .95},
		{"by hand, two seconds between", .7, 1.2, 2, 2, .99},
		{"by hand, uneven, two seconds between", .4, 1.4, 2, 2, .97},
	} {
		rng := rand.New(rand.NewPCG(12, uint64(tc.digits)))
		r := reel{name: tc.what}
		var at time.Duration
		for burst := range 60 {
			for k := range 3 + rng.IntN(6) {
				f := r.add(at, seen{}, fmt.Sprint(burst))
				unit := time.Second
				for range tc.digits {
					unit /= 10
				}
				f.Fingerprint, f.Time = 1, cull.Stamp{Wall: f.Time.Wall.Truncate(unit), Digits: tc.digits}
				at += time.Duration((tc.least + (tc.most-tc.least)*rng.Float64()) * float64(time.Second))
				_ = k
			}
			at += time.Duration((tc.pause*(1+rng.Float64()/2) - tc.most) * float64(time.Second))
		}
		found := map[cull.ID]int{}
		for i, m := range moments(sorted(r.frames), Options{}.withDefaults()) {
			for _, f := range m.frames {
				found[f.ID] = i
			}
		}
		if s := bCubed(found, r.known); s.f1 < tc.f1 {
			t.Errorf("%s: F1 %.3f, want %.2f; precision %.3f, recall %.3f; the worst group %s", tc.what, s.f1, tc.f1, s.precision, s.recall, worst(found, r.known))
		}
	}
}
