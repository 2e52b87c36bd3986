package station

import (
	"image"
	"math/rand/v2"
	"testing"

	"garner/preview/jpeg"
)

func TestPartAround(t *testing.T) {
	size, room := image.Pt(6000, 4000), image.Pt(1600, 1000)
	for _, c := range []struct {
		name       string
		at         spot
		size, room image.Point
		want       image.Rectangle
	}{
		{"the middle", spot{0.5, 0.5}, size, room, image.Rect(2200, 1500, 3800, 2500)},
		{"a place", spot{0.25, 0.75}, size, room, image.Rect(700, 2500, 2300, 3500)},
		{"a corner", spot{0, 1}, size, room, image.Rect(0, 3000, 1600, 4000)},
		{"beyond", spot{2, -1}, size, room, image.Rect(4400, 0, 6000, 1000)},
		{"smaller than the room", spot{0.9, 0.9}, image.Pt(800, 600), room, image.Rect(0, 0, 800, 600)},
		{"smaller one way", spot{0.9, 0.5}, image.Pt(800, 4000), room, image.Rect(0, 1500, 800, 2500)},
		{"odd sizes", spot{0.5, 0.5}, image.Pt(101, 77), image.Pt(10, 7), image.Rect(46, 35, 56, 42)},
	} {
		if p := partAround(c.at, c.size, c.room); p.rect != c.want {
			t.Errorf("%s: %v, want %v", c.name, p.rect, c.want)
		}
	}
}

// Panning goes a third of the room, ends at the edges, and the spot in the middle
// leads to the very same part again, in a frame of the same size.
func TestPanned(t *testing.T) {
	p := partAround(spot{0.5, 0.5}, image.Pt(6001, 3999), image.Pt(1601, 1003))
	if got := p.panned(1, 0).rect.Min.X - p.rect.Min.X; got != 533 {
		t.Errorf("a step of %d pixels, want a third of 1601", got)
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		p = p.panned(r.IntN(3)-1, r.IntN(3)-1)
		if !p.rect.In(image.Rectangle{Max: p.size}) || p.rect.Dx() != 1601 || p.rect.Dy() != 1003 {
			t.Fatalf("panned to %v", p.rect)
		}
		if again := partAround(p.middle(), p.size, p.room); again != p {
			t.Fatalf("%v leads to %v", p.rect, again.rect)
		}
	}
	for range 20 {
		p = p.panned(-1, 1)
	}
	if p.rect.Min.X != 0 || p.rect.Max.Y != 3999 {
		t.Errorf("in the corner: %v", p.rect)
	}
}

func noise(w, h, subX, subY int) *jpeg.Image {
	m := &jpeg.Image{}
	m.Reset(w, h, subX, subY, false)
	r := rand.New(rand.NewPCG(3, uint64(w)))
	for _, plane := range [][]byte{m.Y, m.Cb, m.Cr} {
		for i := range plane {
			plane[i] = byte(r.Uint32())
		}
	}
	m.Rows = h
	return m
}

// A part of the turned view shows what the same part of the upright picture does.
func TestPartUpright(t *testing.T) {
	m := noise(60, 40, 1, 1)
	for quarters := range 4 {
		view := turned(m, quarters)
		p := partAround(spot{0.3, 0.8}, image.Pt(view.Width, view.Height), image.Pt(17, 11))
		r := p.upright(quarters)
		got := turned(cutOut(m, part{r, image.Pt(m.Width, m.Height), r.Size()}), quarters)
		if got.Width != 17 || got.Height != 11 {
			t.Fatalf("turned %d: %dx%d", quarters, got.Width, got.Height)
		}
		for y := range 11 {
			for x := range 17 {
				if a, b := got.Y[y*got.YStride+x], view.Y[(p.rect.Min.Y+y)*view.YStride+p.rect.Min.X+x]; a != b {
					t.Fatalf("turned %d: %d at %d,%d, want %d", quarters, a, x, y, b)
				}
			}
		}
	}
}

// The spot stays on what it is on when the view is turned.
func TestSpotTurned(t *testing.T) {
	m := noise(50, 30, 1, 1)
	for i := range m.Y {
		m.Y[i] = 0
	}
	at := image.Pt(7, 21)
	m.Y[at.Y*m.YStride+at.X] = 255
	for quarters := range 4 {
		view := turned(m, quarters)
		s := spotOf(at, image.Pt(50, 30)).turned(quarters)
		if view.Y[int(s.y*float64(view.Height))*view.YStride+int(s.x*float64(view.Width))] != 255 {
			t.Errorf("turned %d: not at %v", quarters, s)
		}
	}
}

// What is smaller than the room stands in its middle, black around it, and is not
// enlarged.
func TestFramed(t *testing.T) {
	for _, sub := range [][2]int{{1, 1}, {2, 1}, {2, 2}, {4, 1}} {
		m := noise(33, 21, sub[0], sub[1])
		room := image.Pt(80, 50)
		got := framed(m, room)
		if !got.Valid() || got.Width != 80 || got.Height != 50 {
			t.Fatalf("%v: %dx%d", sub, got.Width, got.Height)
		}
		x0, y0 := (80-33)/2/sub[0]*sub[0], (50-21)/2/sub[1]*sub[1]
		for y := range 50 {
			for x := range 80 {
				inside := image.Pt(x-x0, y-y0).In(image.Rect(0, 0, 33, 21))
				v, want := got.Y[y*got.YStride+x], byte(0)
				if inside {
					want = m.Y[(y-y0)*m.YStride+x-x0]
					if a, b := got.Cb[y/sub[1]*got.CStride+x/sub[0]], m.Cb[(y-y0)/sub[1]*m.CStride+(x-x0)/sub[0]]; a != b {
						t.Fatalf("%v: chroma %d at %d,%d, want %d", sub, a, x, y, b)
					}
				}
				if v != want {
					t.Fatalf("%v: %d at %d,%d, want %d", sub, v, x, y, want)
				}
			}
		}
		if c := got.Cb[0]; c != 128 {
			t.Errorf("%v: the frame has the chroma %d", sub, c)
		}
	}
	if m := noise(80, 50, 2, 2); framed(m, image.Pt(80, 50)) != m {
		t.Error("a part that fills the room is copied")
	}
}

// A part of a decoded picture does not keep the whole one in memory.
func TestAlone(t *testing.T) {
	whole := noise(600, 400, 2, 2)
	cut := cutOut(whole, part{image.Rect(100, 100, 140, 130), image.Pt(600, 400), image.Pt(40, 30)})
	got := alone(cut)
	if cap(got.Y) > 2*40*30 || cap(got.Cb) > 40*30 {
		t.Errorf("planes of %d and %d bytes", cap(got.Y), cap(got.Cb))
	}
	for y := range 30 {
		for x := range 40 {
			if got.Y[y*got.YStride+x] != whole.Y[(100+y)*whole.YStride+100+x] {
				t.Fatalf("another sample at %d,%d", x, y)
			}
		}
	}
}
