package group

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"garner/cull"
)

// anyFrames are frames of every kind there may be, strange ones as well, mostly
// close to each other in time.
func anyFrames(rng *rand.Rand, n int) []Frame {
	odd := []float64{0, 1, 1.0 / 3, 9, -1, 1e300, math.NaN(), math.Inf(1), math.Inf(-1)}
	any := func() float64 { return odd[rng.IntN(len(odd))] }
	out := make([]Frame, n)
	at := dayStart
	for i := range out {
		at = at.Add([]time.Duration{0, 10 * time.Millisecond, tenth, 300 * time.Millisecond, time.Second, 2 * time.Second, 40 * time.Second}[rng.IntN(7)])
		yes := rng.IntN(2) == 0
		f := Frame{ID: cull.ID(fmt.Sprintf("%016x", i)), Name: fmt.Sprint("A/", rng.IntN(n)), Body: []string{"A", "A", "A", "B", ""}[rng.IntN(5)],
			Time: cull.Stamp{Wall: at, Digits: rng.IntN(4)}, Counter: rng.Int64N(12) - 2, Lens: []string{"", "50mm"}[rng.IntN(2)],
			HasEV: yes, EV100: 9, Focal: 50, Seconds: .01, Luma: rng.Float64(), AutoBracket: rng.IntN(8) == 0}
		if f.Time.Digits == 0 {
			f.Time.Wall = f.Time.Wall.Truncate(time.Second)
		}
		if rng.IntN(12) == 0 {
			f.Time = cull.Stamp{}
		}
		if rng.IntN(6) == 0 {
			f.EV100, f.Focal, f.Seconds, f.Luma = any(), any(), any(), any()
		}
		if rng.IntN(4) == 0 {
			v := any()
			f.Bias = &v
		}
		if rng.IntN(3) == 0 {
			f.Flash = &yes
		}
		switch {
		case i > 0 && out[i-1].Look != nil && rng.IntN(3) > 0: // like the one before, moved
			l := *out[i-1].Look
			copy(l.Columns[:], l.Columns[rng.IntN(12):])
			l.Detail[rng.IntN(cull.LookTiles)] += uint8(rng.IntN(40))
			l.Parts[0] ^= 3 << rng.IntN(64)
			f.Look = &l
		case rng.IntN(5) > 0:
			f.Look = anyLook(rng)
		}
		if f.Look != nil && rng.IntN(10) > 0 {
			f.Fingerprint, f.HasFingerprint = f.Look.Parts[0], true
		}
		out[i] = f
	}
	return out
}

// TestMomentsHold: whatever the frames are, every one is in one moment of its body,
// in order, series and bursts have the frames that they need and bursts end where
// they must; nothing panics and no order of input matters.
func TestMomentsHold(t *testing.T) {
	for seed := range uint64(150) {
		rng := rand.New(rand.NewPCG(seed, 5))
		frames := anyFrames(rng, 1+rng.IntN(120))
		o := Options{}.withDefaults()
		ms := moments(sorted(frames), o)
		again := moments(sorted(shuffled(frames, seed)), o)
		if len(ms) != len(again) {
			t.Fatalf("seed %d: %d moments, in another order of input %d", seed, len(ms), len(again))
		}
		n := 0
		for i, m := range ms {
			n += len(m.frames)
			if !reflect.DeepEqual(idsOf(m), idsOf(again[i])) || m.kind != again[i].kind || m.series != again[i].series {
				t.Fatalf("seed %d: another order of input gives other moments", seed)
			}
			if (m.kind == cull.Single) != (len(m.frames) == 1) || (m.kind == cull.Series) != (m.series != "") {
				t.Fatalf("seed %d: a %s of %d frames, series %q", seed, m.kind, len(m.frames), m.series)
			}
			for k := 1; k < len(m.frames); k++ {
				a, b := &m.frames[k-1], &m.frames[k]
				if a.Body != b.Body || a.Body == "" || a.Time.Known() != b.Time.Known() {
					t.Fatalf("seed %d: %v and %v are one moment", seed, a, b)
				}
				if pause := b.Time.Wall.Sub(a.Time.Wall); m.kind == cull.Burst && (pause > o.Gap || b.Time.Wall.Sub(m.frames[0].Time.Wall) > o.Longest) {
					t.Fatalf("seed %d: %v in a burst", seed, pause)
				}
			}
		}
		if n != len(frames) {
			t.Fatalf("seed %d: %d of %d frames", seed, n, len(frames))
		}
		sets := lookAlikes(ms, o)
		if len(sets) != len(ms) {
			t.Fatalf("seed %d: %d sets for %d moments", seed, len(sets), len(ms))
		}
	}
}

func idsOf(m moment) (out []cull.ID) {
	for _, f := range m.frames {
		out = append(out, f.ID)
	}
	return out
}

// TestStretchesStandAlone: what a body took before a pause of more than Apart has no
// say in how it is grouped after it.
func TestStretchesStandAlone(t *testing.T) {
	for seed := range uint64(100) {
		rng := rand.New(rand.NewPCG(seed, 6))
		frames := sorted(anyFrames(rng, 60))
		o := Options{}.withDefaults()
		var apart [][]cull.ID
		for _, s := range stretches(frames) {
			var own []Frame
			for _, i := range s {
				own = append(own, frames[i])
			}
			for _, m := range moments(own, o) {
				apart = append(apart, idsOf(m))
			}
		}
		want := map[string]bool{}
		for _, ids := range apart {
			want[fmt.Sprint(ids)] = true
		}
		for _, m := range moments(frames, o) {
			if !want[fmt.Sprint(idsOf(m))] {
				t.Fatalf("seed %d: %v is a moment of all frames, not of its stretch", seed, idsOf(m))
			}
		}
	}
}
