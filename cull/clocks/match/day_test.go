package match

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"garner/cull"
	"garner/cull/group"
)

var noon = time.Date(2026, 6, 13, 9, 0, 0, 0, time.UTC)

// day is an invented day of two bodies. Every scene has a look that its poses
// differ from, every pose one that its frames differ from.
type day struct {
	r      *rand.Rand
	scenes int
	hours  float64
	shared float64 // share of the poses of B that A takes too, within jitter
	venue  bool    // B's own poses are of A's scenes
	jitter float64 // seconds
	still  bool    // all poses of a scene are alike
	near   int     // bits in which a shared pose differs between the bodies, up to
}

// shot is a frame with its true time.
type shot struct {
	at    float64 // seconds since noon
	print uint64
}

func (d *day) flip(x uint64, n int) uint64 {
	for range n {
		x ^= 1 << d.r.IntN(64)
	}
	return x
}

// shoot invents n frames for each of two bodies.
func (d *day) shoot(n int) (a, b []shot) {
	looks, starts, ends := make([]uint64, d.scenes), make([]float64, d.scenes), make([]float64, d.scenes)
	for i := range looks {
		looks[i] = d.r.Uint64()
		starts[i] = d.hours * 3600 * float64(i) / float64(d.scenes)
		ends[i] = starts[i] + d.hours*3600*0.7/float64(d.scenes)
	}
	pose := func(to *[]shot, look uint64, at float64) {
		for i := range 1 + d.r.IntN(4) {
			*to = append(*to, shot{at + 0.15*float64(i), d.flip(look, d.r.IntN(4))})
		}
	}
	differ := func(look uint64) uint64 {
		if d.still {
			return d.flip(look, d.r.IntN(4))
		}
		return d.flip(look, 4+d.r.IntN(24))
	}
	foreign := make([]uint64, d.scenes)
	for i := range foreign {
		foreign[i] = d.r.Uint64()
	}
	for len(a) < n || len(b) < n {
		s := d.r.IntN(d.scenes)
		at := starts[s] + d.r.Float64()*(ends[s]-starts[s])
		look := differ(looks[s])
		pose(&a, look, at)
		if d.r.Float64() < d.shared {
			pose(&b, d.flip(look, d.r.IntN(d.near+1)), at+d.jitter*(2*d.r.Float64()-1))
			continue
		}
		base := foreign[s]
		if d.venue {
			base = looks[s]
		}
		pose(&b, differ(base), starts[s]+d.r.Float64()*(ends[s]-starts[s]))
	}
	byTime := func(p, q shot) int { return cmp.Compare(p.at, q.at) }
	slices.SortFunc(a, byTime)
	slices.SortFunc(b, byTime)
	return a, b
}

// frames gives shots to a body whose clock shows clock(seconds since noon, number).
func frames(body string, shots []shot, digits int, counter int64, clock func(at float64, i int) time.Time) []group.Frame {
	out := make([]group.Frame, len(shots))
	for i, s := range shots {
		t := clock(s.at, i)
		if digits == 0 {
			t = t.Truncate(time.Second)
		}
		out[i] = group.Frame{ID: cull.ID(fmt.Sprintf("%s%015x", body, i)), Name: fmt.Sprintf("%s/X%05d", body, i), Body: body,
			Counter: (counter+int64(i)-1)%9999 + 1, Fingerprint: s.print, HasFingerprint: true,
			Time: cull.Stamp{Wall: t, Digits: digits}}
		if counter == 0 {
			out[i].Counter = 0
		}
	}
	return out
}

func seconds64(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// off is a clock that is so far from the right one.
func off(by time.Duration) func(float64, int) time.Time {
	return func(at float64, _ int) time.Time { return noon.Add(seconds64(at) + by) }
}
