package group

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"garner/cull"
)

// scene makes single moments a minute apart; equal letters look alike, "_" is a
// frame that nobody could see.
func scene(letters string) (ms []moment) {
	var s shoot
	for i, c := range letters {
		s.add("A", 60*float64(i), uint64(c))
	}
	for i := range s.frames {
		s.frames[i].HasFingerprint = letters[i] != '_'
		ms = append(ms, moment{kind: cull.Single, frames: s.frames[i : i+1], first: i})
	}
	return ms
}

func TestLookAlikes(t *testing.T) {
	for _, tc := range []struct {
		what, scene string
		want        string // the same letter for the same set, "." for none
	}{
		{"nothing alike", "abcd", "...."},
		{"taken again", "abac", "a.a."},
		{"two sets in turns", "ababcc", "ababcc"},
		{"not seen", "a__a", "a..a"},
		{"a quarter of an hour at most, from the first on", "axxxxxxxxxxxxxxa", "axxxxxxxxxxxxxxa"},
		{"later", "a...............a", "bcccccccccccccccd"},
	} {
		sets := lookAlikes(scene(tc.scene), Options{}.withDefaults())
		for i := range sets {
			for k := range i {
				want := tc.want[i] == tc.want[k] && tc.want[i] != '.'
				if got := sets[i] != 0 && sets[i] == sets[k]; got != want {
					t.Errorf("%s: %v, want %s", tc.what, sets, tc.want)
				}
			}
		}
	}
}

// TestLookAlikesChain: each like the one before, the last unlike the first.
func TestLookAlikesChain(t *testing.T) {
	ms := scene("aaaaaaaa")
	for i := range ms {
		ms[i].frames[0].Fingerprint = 1<<(6*i) - 1
	}
	o := Options{}.withDefaults()
	sets := lookAlikes(ms, o)
	for i, a := range ms {
		for k, b := range ms {
			if sets[i] != 0 && sets[i] == sets[k] && Distance(a.frames[0].Fingerprint, b.frames[0].Fingerprint) > 2*o.Alike {
				t.Errorf("%v: %d and %d are one set", sets, i, k)
			}
		}
	}
}

// TestLookAlikesBodies: two photographers side by side see the same; with a burst
// any of its two faces will do; a panorama is no look-alike of its first view.
func TestLookAlikesBodies(t *testing.T) {
	var s shoot
	s.add("A", 0, 1)
	s.add("B", 2, 1)
	for i := range 4 {
		s.add("A", 30+float64(i)/10, uint64(1+i/2)) // the second half looks like 2
	}
	s.add("B", 40, 2)
	ms := []moment{{frames: s.frames[:1]}, {frames: s.frames[1:2]}, {frames: s.frames[2:6]}, {frames: s.frames[6:]}}
	if got := lookAlikes(ms, Options{}.withDefaults()); !slices.Equal(got, []int{1, 1, 1, 0}) && !slices.Equal(got, []int{1, 1, 2, 2}) {
		t.Errorf("%v", got)
	}
	ms[2].series = cull.Panorama
	if got := lookAlikes(ms, Options{}.withDefaults()); !slices.Equal(got, []int{1, 1, 0, 0}) {
		t.Errorf("with a panorama: %v", got)
	}
}

// TestLookAlikesTimes: moments without a time are compared among themselves.
func TestLookAlikesTimes(t *testing.T) {
	ms := scene("aaaa")
	for i := 2; i < 4; i++ {
		ms[i].frames[0].Time = cull.Stamp{}
	}
	if got := lookAlikes(ms, Options{}.withDefaults()); !slices.Equal(got, []int{1, 1, 2, 2}) {
		t.Errorf("%v", got)
	}
}

// BenchmarkLookAlikes is of scenes in which nothing looks alike, the dearest case:
// an hour's, and one of as many moments within a quarter of an hour.
func BenchmarkLookAlikes(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, within := range []time.Duration{time.Hour, 15 * time.Minute} {
		for _, n := range []int{1250, 2500, 5000} {
			ms := make([]moment, n)
			for i := range ms {
				f := frameOf(seen{look: anyLook(rng)})
				f.Time = cull.Stamp{Wall: dayStart.Add(within * time.Duration(i) / time.Duration(n)), Digits: 2}
				f.Fingerprint = f.Look.Parts[0]
				ms[i] = moment{frames: []Frame{f}}
			}
			b.Run(fmt.Sprint(within, " ", n), func(b *testing.B) {
				for b.Loop() {
					lookAlikes(ms, Options{}.withDefaults())
				}
			})
		}
	}
}
