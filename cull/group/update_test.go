package group

import (
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"garner/cull"
)

// TestUpdateIsLayout: however a job changes, grouping anew what changed gives what
// grouping everything gives.
func TestUpdateIsLayout(t *testing.T) {
	for range 200 {
		seed := rand.Uint64()
		r := rand.New(rand.NewPCG(seed, 5))
		var s shoot
		shootDay(&s, r, 40+r.IntN(120))
		var old []Frame
		changed := map[cull.ID]bool{}
		share := []int{2, 10, 100}[r.IntN(3)]
		for i := range s.frames {
			f := s.frames[i]
			switch r.IntN(4 * share) {
			case 0: // new
				continue
			case 1: // learned something about
				f.Fingerprint, f.HasFingerprint = 0, false
				changed[f.ID] = true
			case 2: // its clock was corrected
				f.Time.Wall = f.Time.Wall.Add(time.Duration(r.IntN(2000)-1000) * time.Second)
			case 3:
				old = append(old, f)
				g := f
				g.ID, g.Name = cull.ID(string(f.ID[:8])+"ffffffff"), f.Name+"g" // gone since
				if r.IntN(2) == 0 {
					g.Time = cull.Stamp{}
				}
				old = append(old, g)
				continue
			}
			old = append(old, f)
		}
		before := Layout(shuffled(old, seed), Options{})
		want := Layout(s.frames, Options{})
		got, n := Update(before, shuffled(s.frames, seed+1), func(id cull.ID) bool { return changed[id] }, Options{})
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("seed %d: %d grouped anew\ngot  %s\nwant %s", seed, n, groups(got, s.frames), groups(want, s.frames))
		}
	}
}

// TestUpdateRegroupsLittle: what arrives late touches its neighbours alone.
func TestUpdateRegroupsLittle(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	var s shoot
	shootDay(&s, r, 3000)
	nothing := func(cull.ID) bool { return false }
	l := Layout(s.frames, Options{})
	if got, n := Update(l, s.frames, nothing, Options{}); n != 0 || !reflect.DeepEqual(got, l) {
		t.Errorf("nothing happened and %d were grouped anew", n)
	}
	late := s.frames[1500]
	rest := append(append([]Frame{}, s.frames[:1500]...), s.frames[1501:]...)
	got, n := Update(Layout(rest, Options{}), s.frames, nothing, Options{})
	if !reflect.DeepEqual(got, l) {
		t.Error("the layout is another than that of all")
	}
	near := 0
	for _, f := range s.frames {
		if d := f.Time.Wall.Sub(late.Time.Wall); f.Body == late.Body && d.Abs() < 10*time.Minute {
			near++
		}
	}
	if n == 0 || n > near {
		t.Errorf("%d frames were grouped anew for one late one; %d of its body are within ten minutes", n, near)
	}
}

// shootDay takes frames as a person does: bursts and single frames of two bodies, pauses
// now and then, some without a time.
func shootDay(s *shoot, r *rand.Rand, n int) {
	at := 0.
	for len(s.frames) < n {
		body := []string{"A", "B", "A", ""}[r.IntN(4)]
		look := r.Uint64N(30)
		step := []float64{0.1, 0.4, 1.1}[r.IntN(3)]
		for k := range 1 + r.IntN(6)*r.IntN(2) {
			f := s.add(body, at+float64(k)*step, look)
			f.Fingerprint ^= 1 << r.IntN(64)
			if r.IntN(40) == 0 {
				f.Time = cull.Stamp{}
			}
		}
		at += 4 + 20*r.Float64()
		if r.IntN(25) == 0 {
			at += 60 * 30 * r.Float64()
		}
	}
}
