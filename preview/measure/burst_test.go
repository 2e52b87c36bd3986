package measure_test

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/evidence"
	"garner/preview"
	"garner/preview/jpeg"
	"garner/preview/measure"
	"garner/preview/pix"
	"garner/preview/raw"
	"garner/testdata/testneed"
)

// asSharpness is what a catalogue keeps of a part.
func asSharpness(f pix.Focus) cull.Sharpness {
	return cull.Sharpness{Energy: f.Energy, Edge: f.Edge, Blur: f.Blur, Noise: f.Noise, Pixels: f.Pixels}
}

// steadier is how frames of one burst differ: hardly in light, all in noise.
var steadier = []light{
	{"clean", 0.15, 1, 2, white, false},
	{"noise 8", 0.15, 7, 9, white, false},
	{"noise 6, smoothed", 0.15, 5, 7, smoothed, false},
	{"noise 8, denoised", 0.15, 7, 9, denoised, false},
}

// Bursts of five frames of a face (or another thing as large) that moves a little from
// frame to frame. Of equal ones none may be named; where one is a step sharper than the
// rest it should be, and never another one.
func TestBurstsOfFaces(t *testing.T) {
	every := 3
	if testing.Verbose() { // which takes ten times as long
		every = 1
	}
	r := rand.New(rand.NewPCG(3, 4))
	for _, c := range []struct {
		name       string
		best, rest int     // steps of blur
		moves      float64 // share of the face
		mostWrong  float64
		leastNamed float64
	}{
		{"all sharp", 0, 0, 0.02, 0.04, 0},
		{"all at 1.1 px", 2, 2, 0.02, 0.04, 0},
		{"all at 2.3 px", 4, 4, 0.02, 0.04, 0},
		{"all at 1.1 px, moving much", 2, 2, 0.05, 0.06, 0},
		{"one sharp, four at 0.7 px", 0, 1, 0.02, 0.02, 0.1},
		{"one at 0.7 px, four at 1.6", 1, 3, 0.02, 0.02, 0.9},
		{"one at 1.1 px, four at 1.6", 2, 3, 0.02, 0.02, 0.8},
		{"one at 1.6 px, four at 2.3", 3, 4, 0.02, 0.02, 0.9},
		{"one sharp, four at 2.3 px", 0, 4, 0.05, 0.01, 0.95},
	} {
		bursts, named, wrong := 0., 0., 0.
		for i := 0; i < len(subjects); i += every {
			s := subjects[i]
			whole := image.Rect(0, 0, photograph(t, s.file).Width, photograph(t, s.file).Height)
			for k, l := range steadier {
				if every > 1 && k != i/every%len(steadier) {
					continue
				}
				sharp := r.IntN(5)
				var in []evidence.Measured
				for frame := range 5 {
					move := func() int { return int((2*r.Float64() - 1) * c.moves * float64(s.at.Dx())) }
					at := s.at.Add(image.Pt(move(), move()))
					if !at.In(whole) {
						at = s.at
					}
					step := c.rest
					if frame == sharp {
						step = c.best
					}
					m := l.shot(s.taken(t, at, 160).blurred(blurSteps[step]), r).coded(t)
					f := pix.FocusOf(m, image.Rect(0, 0, 160, 160))
					in = append(in, evidence.Measured{ID: cull.ID(fmt.Sprint(frame)), Measures: cull.Measures{
						Focus: cull.Focus{Method: 1, Width: 6000, Height: 4000},
						Faces: cull.Faces{Method: 1, List: []cull.Face{{Region: cull.Region{X: 0.4, Y: 0.4, W: 0.03, H: 0.04}, Sharpness: asSharpness(f)}}},
					}})
				}
				bursts++
				switch m := evidence.Compare(in); {
				case m.Sharpest == "":
				case c.best != c.rest && m.Sharpest == in[sharp].ID:
					named++
				default:
					wrong++
				}
			}
		}
		t.Logf("%-28s %3.0f bursts: right %.3f, wrong %.3f, too close to call %.3f", c.name, bursts, named/bursts, wrong/bursts, (bursts-named-wrong)/bursts)
		if wrong/bursts > c.mostWrong || named/bursts < c.leastNamed {
			t.Errorf("%s: right %.3f, wrong %.3f", c.name, named/bursts, wrong/bursts)
		}
	}
}

// Pairs of frames with a face in equal focus that was taken from closer by in one of
// them, or zoomed. What is larger has wider edges, so that nothing is said of faces whose
// sizes differ much; below that hardly one is named.
func TestFacesOfOtherSizes(t *testing.T) {
	every := 3
	if testing.Verbose() {
		every = 1
	}
	r := rand.New(rand.NewPCG(3, 4))
	for _, zoom := range []float64{1, 1.1, 1.2, 1.3, 1.5} {
		pairs, named := 0., 0.
		for i := 0; i < len(subjects); i += every {
			s, l := subjects[i], steadier[1+i/every%2]
			var in []evidence.Measured
			for frame, edge := range []int{160, int(160 / zoom)} {
				w := 0.03 * float64(edge) / 160
				m := l.shot(s.taken(t, s.at, edge).blurred(blurSteps[0]), r).coded(t)
				in = append(in, evidence.Measured{ID: cull.ID(fmt.Sprint(frame)), Measures: cull.Measures{
					Focus: cull.Focus{Method: 1, Width: 6000, Height: 4000},
					Faces: cull.Faces{Method: 1, List: []cull.Face{{Region: cull.Region{X: 0.4 - w/2, Y: 0.4 - w*2/3, W: w, H: w * 4 / 3},
						Sharpness: asSharpness(pix.FocusOf(m, image.Rect(0, 0, edge, edge)))}}},
				}})
			}
			if pairs++; evidence.Compare(in).Sharpest != "" {
				named++
			}
		}
		t.Logf("%.1f times as large: %3.0f pairs, one named in %.3f", zoom, pairs, named/pairs)
		if zoom > 1.15 && named > 0 || named/pairs > 0.1 {
			t.Errorf("%.1f times as large: one of two equally sharp faces is named in %.3f", zoom, named/pairs)
		}
	}
}

// scenes are photographs to make whole frames of: brought to two thirds, so that their
// pixels are sharp, and cut to 1200x800 at most.
var scenes = []int{0, 1, 3, 5, 7, 9}

func scene(t testing.TB, i int, shift image.Point) grey {
	m := photograph(t, i)
	w, h := m.Width*2/3, m.Height*2/3
	small := pix.Resize(m, w, h)
	r := image.Rect(0, 0, min(1200, w-12), min(800, h-12)).Add(image.Pt(6, 6)).Add(shift)
	return greyOf(pix.Cut(small, r, 1))
}

// frameOf measures a whole frame without knowing its faces: the way of a file.
func frameOf(t testing.TB, id string, g grey) evidence.Measured {
	t.Helper()
	return measured(t, id, g.bytes(t), g.w, g.h)
}

func measured(t testing.TB, id string, src []byte, w, h int) evidence.Measured {
	t.Helper()
	d, err := preview.OpenDetail(context.Background(), bytes.NewReader(src),
		[]raw.Preview{{Length: int64(len(src)), Width: w, Height: h}}, preview.View{Width: w, Height: h}, nil)
	if err != nil {
		t.Fatal(err)
	}
	spots, err := measure.FocusOf(context.Background(), d)
	if err != nil || len(spots) == 0 || d.Small() {
		t.Fatalf("%d spots, small %v: %v", len(spots), d.Small(), err)
	}
	f := cull.Focus{Method: 1, Width: d.Width, Height: d.Height}
	for _, s := range spots {
		f.Spots = append(f.Spots, cull.Spot{By: cull.ByTile, Sharpness: asSharpness(s.Focus), Region: cull.Region{
			X: float64(s.Min.X) / float64(d.Width), Y: float64(s.Min.Y) / float64(d.Height),
			W: float64(s.Dx()) / float64(d.Width), H: float64(s.Dy()) / float64(d.Height)}})
	}
	return evidence.Measured{ID: cull.ID(id), Measures: cull.Measures{Focus: f}}
}

// The same without faces: six scenes as whole frames, of which the parts with structure
// are found in each frame by itself and matched. Adjacent steps of blur are compared, and
// bursts of three equal frames.
func TestBurstsOfTiles(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	pairs, right, wrong, bursts, named := 0., 0., 0., 0., 0.
	list := scenes
	if !testing.Verbose() {
		list = scenes[:3]
	}
	for _, i := range list {
		base := scene(t, i, image.Point{})
		var steps []grey
		for _, sigma := range blurSteps[:6] {
			steps = append(steps, base.blurred(sigma))
		}
		for k, l := range steadier {
			if k%2 != i%2 && !testing.Verbose() {
				continue
			}
			var frames []evidence.Measured
			for s, g := range steps {
				frames = append(frames, frameOf(t, fmt.Sprint(s), l.shot(g, r)))
			}
			for s := range frames[1:] {
				pairs++
				switch evidence.Compare(frames[s : s+2]).Sharpest {
				case frames[s].ID:
					right++
				case frames[s+1].ID:
					wrong++
				}
			}
			for _, s := range []int{0, 3} {
				equal := []evidence.Measured{frames[s]}
				for n := range 2 {
					shift := image.Pt(r.IntN(9)-4, r.IntN(9)-4)
					equal = append(equal, frameOf(t, fmt.Sprint("again ", n), l.shot(scene(t, i, shift).blurred(blurSteps[s]), r)))
				}
				bursts++
				if m := evidence.Compare(equal); m.Sharpest != "" {
					named++
					t.Logf("photo %d, %s, step %d: %s", i, l.name, s, m.Why)
				}
			}
		}
	}
	t.Logf("whole frames without faces: of %.0f pairs a step apart %.3f right, %.3f wrong; of %.0f bursts of equal frames %.3f have one named", pairs, right/pairs, wrong/pairs, bursts, named/bursts)
	if right/pairs < 0.75 || wrong > 0 || named/bursts > 0.05 {
		t.Errorf("of %v pairs %v right, %v wrong; of %v equal bursts %v have one named", pairs, right, wrong, bursts, named)
	}
}

// Two frames that are in focus at different depths: which is the better one nobody can
// say who does not know what was meant.
func TestSharpInDifferentPlaces(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	base := scene(t, 1, image.Point{})
	soft := base.blurred(3.3)
	half := func(left bool) grey {
		g := grey{base.w, base.h, slices.Clone(soft.v)}
		for y := range g.h {
			from, until := 0, g.w/2
			if !left {
				from, until = g.w/2, g.w
			}
			copy(g.row(y)[from:until], base.row(y)[from:until])
		}
		return g
	}
	a, b := frameOf(t, "left", steadier[0].shot(half(true), r)), frameOf(t, "right", steadier[0].shot(half(false), r))
	if m := evidence.Compare([]evidence.Measured{a, b}); m.Sharpest != "" {
		t.Errorf("%q is named: %s", m.Sharpest, m.Why)
	}
	// Beside a frame that is soft all over either is the sharper one.
	all := frameOf(t, "soft", steadier[0].shot(soft, r))
	for _, f := range []evidence.Measured{a, b} {
		if m := evidence.Compare([]evidence.Measured{all, f}); m.Sharpest != f.ID {
			t.Errorf("%q beside a soft one: %+v", f.ID, m)
		}
	}
	if m := evidence.Compare([]evidence.Measured{all, all}); !m.Rungs[0].Soft || m.Sharpest != "" {
		t.Errorf("soft all over: %+v", m)
	}
	if m := evidence.Compare([]evidence.Measured{a, b}); m.Rungs[0].Soft || m.Rungs[1].Soft {
		t.Errorf("half sharp: %+v", m)
	}
}

// Real bursts of a camera that stands still, as the frames of a video came: what moves is
// people. All frames are equally in focus, and none may be named.
func TestRealBursts(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(testneed.Samples(t), "bursts", "*", "b*_f*.jpg"))
	if err != nil || len(files) < 60 {
		t.Fatalf("%d frames: %v", len(files), err)
	}
	bursts := map[string][]evidence.Measured{}
	for _, f := range files {
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		m, err := jpeg.Decode(src, jpeg.Options{Luma: true})
		if err != nil {
			t.Fatal(err)
		}
		name, _, _ := strings.Cut(f, "_f0")
		bursts[name] = append(bursts[name], measured(t, f, src, m.Width, m.Height))
	}
	named := 0
	for name, in := range bursts {
		if m := evidence.Compare(in); m.Sharpest != "" {
			named++
			t.Logf("%s: %s: %s", filepath.Base(name), filepath.Base(string(m.Sharpest)), m.Why)
		}
	}
	t.Logf("of %d bursts of a video %d have one named", len(bursts), named)
	if named > len(bursts)/10 || len(bursts) < 10 {
		t.Errorf("of %d bursts %d have one named", len(bursts), named)
	}
}
