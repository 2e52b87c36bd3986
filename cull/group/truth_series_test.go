package group

import (
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"text/tabwriter"
	"time"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/testdata/testneed"
)

// seriesCase is a run of frames made of one photograph, and what it is: a series of
// a kind, or "" for what must not be taken for one.
type seriesCase struct {
	name string
	kind cull.SeriesKind
	make func(r *reel, c camera, sharp *jpeg.Image)
}

var seriesCases = []seriesCase{
	{"five views side by side, most of each seen again", cull.Panorama, func(r *reel, c camera, _ *jpeg.Image) {
		for k := range 5 {
			steady(r.add(time.Duration(k)*1600*time.Millisecond, c.at(.02+.14*float64(k), .3, .01), ""))
		}
	}},
	{"the same from right to left, upright", cull.Panorama, func(r *reel, c camera, _ *jpeg.Image) {
		for k := range 5 {
			f := steady(r.add(time.Duration(k)*1300*time.Millisecond, c.at(.6-.12*float64(k), .3, .01), ""))
			f.Upright = true
		}
	}},
	{"three exposures, 2 EV apart, said by the camera", cull.Bracket, func(r *reel, c camera, sharp *jpeg.Image) {
		exposedAt(r, c, sharp, true, 0, -2, 2)
	}},
	{"five exposures, 1 EV apart, not said", cull.Bracket, func(r *reel, c camera, sharp *jpeg.Image) {
		exposedAt(r, c, sharp, false, -2, -1, 0, 1, 2)
	}},
	{"seven distances, near to far", cull.FocusStack, func(r *reel, c camera, sharp *jpeg.Image) {
		for k := range 7 {
			f := steady(r.add(time.Duration(k)*800*time.Millisecond, look(c.t, focusedAt(sharp, 1-float64(k)/6)), ""))
			f.Focal, f.Lens = 100, "100mm F2.8 Macro"
		}
	}},
	{"a hand-held burst at 10 fps", "", func(r *reel, c camera, _ *jpeg.Image) {
		for k := range 8 {
			steady(r.add(time.Duration(k)*tenth, c.at(.3, .3, .015), ""))
		}
	}},
	{"a pan at 10 fps", "", func(r *reel, c camera, _ *jpeg.Image) {
		for k := range 20 {
			steady(r.add(time.Duration(k)*tenth, c.at(.02+.03*float64(k), .3, .005), ""))
		}
	}},
	{"pressed once a second", "", func(r *reel, c camera, _ *jpeg.Image) {
		for k := range 6 {
			steady(r.add(time.Duration(k)*time.Second, c.at(.3, .3, .02), ""))
		}
	}},
	{"here and there, 2 s apart", "", func(r *reel, c camera, _ *jpeg.Image) {
		for k := range 6 {
			steady(r.add(time.Duration(k)*2*time.Second, c.at(.6*float64(k*5%6)/6, .6*float64(k*7%5)/5, 0), ""))
		}
	}},
}

// steady gives a frame the exposure that all of its run have.
func steady(f *Frame) *Frame {
	f.EV100, f.HasEV, f.Focal, f.Lens, f.Sensor, f.Seconds = 9, true, 50, "50mm F1.4", 6000, 1./125
	f.Flash, f.Bias = new(bool), new(float64)
	return f
}

func exposedAt(r *reel, c camera, sharp *jpeg.Image, said bool, steps ...float64) {
	for k, ev := range steps {
		f := steady(r.add(time.Duration(k)*300*time.Millisecond, look(c.t, toned(sharp, math.Exp2(.6*ev))), ""))
		*f.Bias, f.EV100, f.AutoBracket = ev, f.EV100-ev, said
	}
}

// focusedAt blurs a picture by rows, the more the further they are from the one
// that is in focus.
func focusedAt(m *jpeg.Image, at float64) *jpeg.Image {
	blurred := []*jpeg.Image{m}
	for _, radius := range []int{1, 2, 4} {
		blurred = append(blurred, boxBlurred(boxBlurred(m, radius), radius))
	}
	out := *m
	out.Y = slices.Clone(m.Y)
	for y := range m.Height {
		off := math.Abs(float64(y)/float64(m.Height) - at)
		from := blurred[min(int(off*8), len(blurred)-1)]
		copy(out.Y[y*m.YStride:][:m.Width], from.Y[y*m.YStride:][:m.Width])
	}
	return &out
}

func boxBlurred(m *jpeg.Image, radius int) *jpeg.Image {
	out := *m
	out.Y = slices.Clone(m.Y)
	for y := range m.Height {
		for x := range m.Width {
			sum, n := 0, 0
			for yy := max(0, y-radius); yy <= min(m.Height-1, y+radius); yy++ {
				for _, v := range m.Y[yy*m.YStride+max(0, x-radius) : yy*m.YStride+min(m.Width-1, x+radius)+1] {
					sum, n = sum+int(v), n+1
				}
			}
			out.Y[y*m.YStride+x] = uint8(sum / n)
		}
	}
	return &out
}

// TestTruthSeries makes series of real photographs, and what looks like some.
func TestTruthSeries(t *testing.T) {
	if testing.Short() {
		t.Skip("makes many pictures")
	}
	rng := rand.New(rand.NewPCG(6, 6))
	var out strings.Builder
	w := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "case, of three photographs\tis\tfound as")
	for _, sc := range seriesCases {
		var found []string
		for _, name := range photographs {
			m := picture(t, filepath.Join(testneed.Samples(t), "photos", name+".jpg"), 4)
			var r reel
			c := camera{t, rng, m, .35}
			sc.make(&r, c, window(m, .2, .2, .5))
			l := Layout(r.frames, Options{})
			kinds := map[cull.SeriesKind]bool{}
			for _, p := range l.Places {
				kinds[p.Series] = true
			}
			switch {
			case sc.kind != "" && l.Places[len(l.Places)-1].Moment == 0 && l.Places[0].Series == sc.kind:
				found = append(found, "whole")
				continue
			case sc.kind == "" && len(kinds) == 1 && kinds[""]:
				found = append(found, "none")
				continue
			}
			got := groups(l, r.frames)
			found = append(found, got)
			t.Errorf("%s, %s: %s (%v), want %q", sc.name, name, got, kinds, sc.kind)
		}
		is := string(sc.kind)
		if is == "" {
			is = "no series"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\n", sc.name, is, strings.Join(found, "; "))
	}
	_ = w.Flush()
	t.Log("\n" + out.String())
}
