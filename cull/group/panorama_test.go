package group

import (
	"math/rand/v2"
	"testing"
	"time"

	"garner/cull"
)

// heldFrame adds a frame with everything held: focal length, exposure, no flash.
func (s *shoot) heldFrame(seconds float64, p seen) *Frame {
	f := s.add("A", seconds, 0)
	f.see(p)
	f.Focal, f.EV100, f.HasEV, f.Seconds, f.Flash = 35, 9, true, 1./125, new(bool)
	return f
}

// swept frames a photograph anew step by step from left to right.
func swept(c camera, n int, step, pause float64) (s shoot) {
	for i := range n {
		p := c.at(.02+float64(i)*step*c.size, .25+.02*c.rng.Float64(), .01)
		s.heldFrame(10+float64(i)*pause, p)
	}
	return s
}

func kinds(s shoot) (out []cull.SeriesKind) {
	for _, m := range moments(sorted(s.frames), Options{}.withDefaults()) {
		out = append(out, m.series)
	}
	return out
}

func onlyOne(s shoot, kind cull.SeriesKind) bool {
	k := kinds(s)
	return len(k) == 1 && k[0] == kind
}

// TestPanoramas turns over three photographs by hand, with overlaps of 75 to 30 %,
// a little unevenly.
func TestPanoramas(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 2))
	found, all := 0, 0
	for _, name := range photographs {
		c := camera{t, rng, photograph(t, name), .3}
		for _, step := range []float64{.25, .35, .5, .65} {
			for _, pause := range []float64{.8, 2, 5} {
				n := min(7, 1+int(.66/(step*.3)))
				all++
				if s := swept(c, n, step, pause); onlyOne(s, cull.Panorama) {
					found++
				} else {
					t.Logf("%s, %d frames by %.0f %%: %v", name, n, 100*step, kinds(s))
				}
			}
		}
	}
	if found < all*8/10 {
		t.Errorf("%d of %d found whole", found, all)
	}
}

func TestNoPanorama(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 2))
	photo := photograph(t, "group5")
	c := camera{t, rng, photo, .3}
	s := func() shoot { return swept(c, 6, .35, 1.5) }
	if !onlyOne(s(), cull.Panorama) {
		t.Fatal("not a panorama to begin with")
	}
	flash := true
	bare := func(change func(s *shoot)) shoot {
		out := s()
		change(&out)
		return out
	}
	for _, tc := range []struct {
		what string
		s    shoot
	}{
		{"a pan at ten frames a second", swept(c, 6, .35, .1)},
		{"too slow", swept(c, 6, .35, 7)},
		{"two frames", swept(c, 2, .35, 1.5)},
		{"the exposure not held", bare(func(s *shoot) {
			for i := range s.frames {
				s.frames[i].EV100 += float64(i%2) / 3
			}
		})},
		{"the exposure unknown", bare(func(s *shoot) {
			for i := range s.frames {
				s.frames[i].HasEV = false
			}
		})},
		{"zoomed", bare(func(s *shoot) {
			for i := range s.frames {
				s.frames[i].Focal += float64(i)
			}
		})},
		{"flash now and then", bare(func(s *shoot) {
			for i := range s.frames {
				if i%2 == 0 {
					s.frames[i].Flash = &flash
				}
			}
		})},
		{"to and fro", bare(func(s *shoot) {
			for i := range s.frames {
				s.frames[i].see(c.at(.1+.35*.3*float64(i%2), .25, .01))
			}
		})},
		{"another subject each time", bare(func(s *shoot) {
			for i := range s.frames {
				other := camera{t, rng, photograph(t, photographs[i%3]), .3}
				s.frames[i].see(other.at(.7*rng.Float64(), .7*rng.Float64(), 0))
			}
		})},
		{"standing still", swept(c, 6, 0, 1.5)},
		{"a hand that follows slowly", swept(c, 6, .08, 1.5)},
	} {
		for _, k := range kinds(tc.s) {
			if k != "" {
				t.Errorf("%s: %v", tc.what, kinds(tc.s))
				break
			}
		}
	}
}

// TestPanoramaAmong: what was taken right before and after a panorama is no part of
// it, and two in a row are two.
func TestPanoramaAmong(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 2))
	c := camera{t, rng, photograph(t, "group1"), .3}
	s := swept(c, 5, .4, 1.5)
	last := s.frames[4].Time.Wall.Sub(dayStart).Seconds()
	for i := range 3 {
		s.heldFrame(last+1+float64(i)/2, c.at(.1, .6, .01))
	}
	for i := range 5 {
		s.heldFrame(last+10+float64(i)*1.5, c.at(.02+float64(i)*.4*c.size, .25, .01))
	}
	// The second is a look-alike of the first, and stands beside it.
	wantGroups(t, s, "1s 2s 3s 4s 5s | 9s 10s 11s 12s 13s | 6 7 8")
	early := s.frames[0]
	early.ID, early.Time.Wall, early.Name = "early", early.Time.Wall.Add(-300*time.Millisecond), "A/IMG_0000"
	s.frames = append(s.frames, early)
	if l := Layout(s.frames, Options{}); l.Places[0].Kind == cull.Series || l.Places[1].Series != cull.Panorama {
		t.Errorf("the frame before it: %s", groups(l, s.frames))
	}
}
