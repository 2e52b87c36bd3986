package group

import (
	"fmt"
	"image"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/testdata/testneed"
)

// picture reads a JPEG at half its size or less: what grouping sees of a frame is
// a thumbnail.
func picture(t *testing.T, file string, scale int) *jpeg.Image {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	m, err := jpeg.Decode(src, jpeg.Options{Scale: scale})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// seen is what is measured of an upright picture.
type seen struct {
	fingerprint uint64
	look        *cull.Look
	luma        float64
}

func look(t testing.TB, m *jpeg.Image) seen {
	t.Helper()
	looks, err := pix.Look(pix.Fit(m, pix.ThumbEdge))
	if err != nil {
		t.Fatal(err)
	}
	l := cull.Look(looks)
	return seen{fingerprint: l.Parts[0], look: &l, luma: pix.MeanLuma(m)}
}

// window is a part of a picture: its left and upper edge and its size, as shares
// of width and height.
func window(m *jpeg.Image, x, y, size float64) *jpeg.Image {
	w, h := float64(m.Width), float64(m.Height)
	return pix.Cut(m, image.Rect(int(x*w+.5), int(y*h+.5), int((x+size)*w+.5), int((y+size)*h+.5)), 1)
}

// filmed is one frame of a sample video: bNN_fNNNNN.jpg is burst and number.
type filmed struct {
	seen
	set, burst string
	number     int // at ten frames a second
}

func film(t *testing.T, set string) (frames []filmed) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(testneed.Samples(t), "bursts", set, "b*.jpg"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no frames in %s: %v", set, err)
	}
	slices.Sort(files)
	for _, file := range files {
		name := filepath.Base(file)
		f := filmed{seen: look(t, picture(t, file, 2)), set: strings.TrimPrefix(set, "frames_"), burst: name[:3]}
		if _, err := fmt.Sscanf(name[3:], "_f%05d.jpg", &f.number); err != nil {
			t.Fatal(err)
		}
		frames = append(frames, f)
	}
	return frames
}

// camera frames a photograph anew for every exposure.
type camera struct {
	t     testing.TB
	rng   *rand.Rand
	photo *jpeg.Image
	size  float64 // of the window, a share of the photograph
}

// at looks at the window whose upper left corner is there, moved by as much as
// the hand shakes: by up to shake shares of the window to either side.
func (c camera) at(x, y, shake float64) seen {
	c.t.Helper()
	move := func() float64 { return c.size * shake * (2*c.rng.Float64() - 1) }
	return look(c.t, window(c.photo, min(max(x+move(), 0), 1-c.size), min(max(y+move(), 0), 1-c.size), c.size))
}
