package like

import (
	"image"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/preview/jpeg"
)

// framedIn puts a picture onto a field of one tone.
func framedIn(m *jpeg.Image, w, h, x, y int, tone byte) *jpeg.Image {
	out := &jpeg.Image{}
	out.Reset(w, h, 1, 1, true)
	fill(out, 0, 0, w, h, tone)
	for v := range m.Height {
		copy(out.Y[(y+v)*w+x:][:m.Width], m.Y[v*m.YStride:])
	}
	return out
}

func near(a, b image.Rectangle, most int) bool {
	apart := func(a, b int) bool { return max(a-b, b-a) > most }
	return !apart(a.Min.X, b.Min.X) && !apart(a.Min.Y, b.Min.Y) && !apart(a.Max.X, b.Max.X) && !apart(a.Max.Y, b.Max.Y)
}

func TestBordersAreFound(t *testing.T) {
	m := noise(300, 200)
	for _, tone := range []byte{0, 18, 90, 244, 255} {
		for name, c := range map[string]struct{ w, h, x, y int }{
			"letterbox":      {300, 400, 0, 100},
			"one side":       {300, 300, 0, 0},
			"pillars":        {520, 200, 110, 0},
			"mount":          {360, 260, 30, 30},
			"not in the mid": {420, 330, 17, 90},
		} {
			got := framed(recoded(framedIn(m, c.w, c.h, c.x, c.y, tone), 85))
			want := image.Rect(c.x, c.y, c.x+300, c.y+200)
			if !slices.ContainsFunc(got, func(r image.Rectangle) bool { return near(r, want, 6) }) {
				t.Errorf("%s of tone %d: %v, want %v", name, tone, got, want)
			}
		}
	}
	r := rand.New(rand.NewPCG(5, 5))
	for range 20 {
		screen := recoded(onPhone(m, r), 85) // 1080 by 720 pixels in the middle of 2340
		want := image.Rect(0, 810, 1080, 1530)
		if got := framed(screen); !slices.ContainsFunc(got, func(r image.Rectangle) bool { return near(r, want, 6) }) {
			t.Errorf("a telephone's screen: %v, want %v", got, want)
		}
	}
}

func TestNoBordersAreFound(t *testing.T) {
	if got := framed(noise(300, 200)); len(got) != 0 {
		t.Errorf("%v in a picture without any", got)
	}
	flat := &jpeg.Image{}
	flat.Reset(300, 200, 1, 1, true)
	fill(flat, 0, 0, 300, 200, 77)
	if got := framed(flat); len(got) != 0 {
		t.Errorf("%v in nothing but one tone", got)
	}
}
