package group

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/cull"
	"garner/preview/jpeg"
)

// focused is a picture of which only what lies at a depth is sharp: its left edge
// is nearest, 0, its right edge farthest, 1.
func focused(m *jpeg.Image, depth float64) *jpeg.Image {
	out := *m
	out.Y = slices.Clone(m.Y)
	down := make([]int, m.Width*m.Height)
	radius := func(x int) int { return int(14*math.Abs(float64(x)/float64(m.Width)-depth) + .3) }
	for x := range m.Width {
		r := radius(x)
		for y := range m.Height {
			for v := y - r; v <= y+r; v++ {
				down[y*m.Width+x] += int(m.Y[min(max(v, 0), m.Height-1)*m.YStride+x])
			}
		}
	}
	for x := range m.Width {
		r := radius(x)
		for y := range m.Height {
			sum, n := 0, 0
			for u := max(x-r, 0); u <= min(x+r, m.Width-1); u++ {
				sum, n = sum+down[y*m.Width+u], n+2*radius(u)+1
			}
			out.Y[y*out.YStride+x] = byte(sum / n)
		}
	}
	return &out
}

// stacked takes frames of a view at these depths.
func stacked(t *testing.T, m *jpeg.Image, pause float64, depths ...float64) (s shoot) {
	for i, d := range depths {
		s.heldFrame(10+float64(i)*pause, look(t, focused(m, d)))
	}
	return s
}

func TestStacks(t *testing.T) {
	found := 0
	for _, name := range photographs {
		m := window(photograph(t, name), .1, .1, .7)
		for _, s := range []shoot{
			stacked(t, m, .6, 0, .15, .3, .45, .6, .75, .9, 1),
			stacked(t, m, 2, 1, .75, .5, .25, 0),
			stacked(t, m, .15, .1, .3, .5, .7, .9),
			stacked(t, m, 1, .05, .35, .65, .95),
		} {
			if onlyOne(s, cull.FocusStack) {
				found++
			} else {
				t.Logf("%s, %d frames: %v", name, len(s.frames), kinds(s))
			}
		}
	}
	if found < 10 {
		t.Errorf("%d of 12 found whole", found)
	}
}

func TestNoStack(t *testing.T) {
	m := window(photograph(t, "group1"), .1, .1, .7)
	rng := rand.New(rand.NewPCG(3, 3))
	moved := stacked(t, m, .6, 0, .25, .5, .75, 1)
	c := camera{t, rng, m, .7}
	for i := range moved.frames {
		moved.frames[i].see(look(t, focused(window(m, .06*float64(i), .1, .7), float64(i)/4)))
	}
	opened := stacked(t, m, .6, 0, .25, .5, .75, 1)
	for i := range opened.frames {
		opened.frames[i].EV100 += float64(i) / 3
	}
	shaken := shoot{}
	for i := range 6 {
		shaken.heldFrame(10+float64(i)*.6, c.at(.1, .1, .02))
	}
	sky := stacked(t, m, .6, 0, .25, .5, .75, 1) // profiles of an empty sky show no movement
	for i := range sky.frames {
		sky.frames[i].Look.Parts[0] ^= 0xfff << (12 * i)
	}
	for _, tc := range []struct {
		what string
		s    shoot
	}{
		{"a sweep over an empty sky", sky},
		{"three frames", stacked(t, m, .6, 0, .5, 1)},
		{"all sharp alike", stacked(t, m, .6, .5, .5, .5, .5, .5)},
		{"the focus hunts", stacked(t, m, .6, 0, 1, 0, 1, 0, 1)},
		{"one frame out of focus", stacked(t, m, .6, .5, .5, 1.8, .5, .5)},
		{"the focus found and held", stacked(t, m, .6, 0, .5, .5, .5, .5)},
		{"too slow", stacked(t, m, 4, 0, .25, .5, .75, 1)},
		{"the view moves", moved},
		{"the aperture moves", opened},
		{"a burst by hand", shaken},
	} {
		for _, k := range kinds(tc.s) {
			if k != "" {
				t.Errorf("%s: %v", tc.what, kinds(tc.s))
				break
			}
		}
	}
}
