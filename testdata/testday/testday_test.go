package testday

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"garner/cull"
)

// TestAsOnRealPictures holds how fast invented views grow unlike against what was
// measured on real ones (see place.go): the middle distances within four bits, the
// largest not beyond the real ones by more than that.
func TestAsOnRealPictures(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	e := newEye(rng)
	hash := func(v view) uint64 {
		e.draw(v, crowd(v.people), 0)
		return e.hash(0, 0, edge)
	}
	invent := func() view {
		e.enter(place{seed: rng.Uint64() % 4})
		return view{x: 360 * rng.Float64(), y: 45, focal: []float64{24, 35, 50, 85}[rng.IntN(4)], people: rng.Uint64()}
	}
	for _, tc := range []struct {
		moved        float64
		middle, most int
	}{{.01, 2, 8}, {.02, 6, 10}, {.04, 10, 16}, {.06, 16, 22}, {.1, 24, 30}, {.15, 32, 38}} {
		var d []int
		for range 60 {
			v := invent()
			h := hash(v)
			e.draw(moved(v, tc.moved))
			d = append(d, distance(h, e.hash(0, 0, edge)))
		}
		slices.Sort(d)
		t.Logf("moved by %.0f %%: %d %d %d", 100*tc.moved, d[0], d[30], d[59])
		if m := d[30]; m < tc.middle-4 || m > tc.middle+4 || d[59] > tc.most+4 {
			t.Errorf("moved by %.0f %%: middle %d, most %d; real pictures: %d, %d", 100*tc.moved, m, d[59], tc.middle, tc.most)
		}
	}
	var others []int
	for range 60 {
		others = append(others, distance(hash(invent()), hash(invent())))
	}
	slices.Sort(others)
	t.Logf("others: %d %d %d", others[0], others[30], others[59])
	if m := others[30]; m < 28 || m > 34 || others[0] < 14 {
		t.Errorf("others: least %d, middle %d; real pictures: 20, 32", others[0], m)
	}
}

// moved is a view, and the people in it, seen from a camera turned by a share of
// the width.
func moved(v view, by float64) (view, []person, float64) {
	v.x += by * degreesWide(v.focal)
	people := crowd(v.people)
	for i := range people {
		people[i].x -= by
	}
	return v, people, 0
}

// TestDay: the same seed gives the same day, and the truth holds together.
func TestDay(t *testing.T) {
	for _, seed := range []uint64{1, 2} {
		d := New(seed, 2000)
		if again := New(seed, 2000); !reflect.DeepEqual(d, again) {
			t.Fatal("the same seed gives another day")
		}
		if len(d.Frames) != 2000 {
			t.Fatalf("%d frames", len(d.Frames))
		}
		ids, names := map[cull.ID]bool{}, map[string]bool{}
		moments := map[int][]Frame{}
		kinds := map[string]int{}
		for i, f := range d.Frames {
			if ids[f.ID] || names[f.Name] {
				t.Fatalf("%s, %s: twice", f.ID, f.Name)
			}
			ids[f.ID], names[f.Name] = true, true
			if i > 0 && f.Truth.Time.Before(d.Frames[i-1].Truth.Time) {
				t.Fatal("not in order")
			}
			if s := d.Scenes[f.Truth.Scene]; f.Truth.Time.Before(s.From.Add(-time.Minute)) || f.Truth.Time.After(s.Until.Add(time.Minute)) {
				t.Errorf("%s: %v is not in %s, %v to %v", f.Name, f.Truth.Time, s.Name, s.From, s.Until)
			}
			moments[f.Truth.Moment] = append(moments[f.Truth.Moment], f)
		}
		for _, fs := range moments {
			kinds[string(fs[0].Truth.Kind)+" "+string(fs[0].Truth.Series)]++
			for _, f := range fs {
				if f.Body != fs[0].Body || f.Truth.View != fs[0].Truth.View || f.Truth.Scene != fs[0].Truth.Scene || (len(fs) == 1) != (f.Truth.Kind == cull.Single) {
					t.Fatalf("moment %d: %+v", f.Truth.Moment, f.Truth)
				}
			}
		}
		t.Logf("day %d: %d scenes, %v", seed, len(d.Scenes), kinds)
		if len(d.Scenes) < 10 || len(kinds) < 5 {
			t.Errorf("%d scenes, moments %v", len(d.Scenes), kinds)
		}
	}
}

// TestClocks: every body's clock, put right by the true offsets, is within its
// drift; without them it is not.
func TestClocks(t *testing.T) {
	for seed := range uint64(4) {
		d := New(seed, 600)
		for _, body := range []string{First, Second, Phone} {
			b := cull.Body{Key: body, Offsets: d.Offsets(body)}
			var most time.Duration
			for _, f := range d.Frames {
				if f.Body == body {
					most = max(most, f.Truth.Time.Sub(b.Correct(f.Shown).Wall).Abs())
				}
			}
			if most > 4*time.Second {
				t.Errorf("day %d, %s: %v off after correction", seed, body, most)
			}
		}
		if len(d.Offsets(Second)) != 2 {
			t.Errorf("day %d: offsets %v, want two", seed, d.Offsets(Second))
		}
	}
}
