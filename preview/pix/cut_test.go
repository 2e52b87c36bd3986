package pix

import (
	"image"
	"testing"

	"pgregory.net/rapid"

	"garner/preview/jpeg"
)

// Every pixel of an upright part has the luma and the chroma that the stored
// picture shows at its place, in all orientations and subsamplings.
func TestCutShowsWhatTheWholeShows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.IntRange(1, 40)
		sub := rapid.SampledFrom([][2]int{{1, 1}, {2, 1}, {2, 2}, {1, 2}, {4, 1}, {4, 2}}).Draw(t, "subsampling")
		m := noise(size.Draw(t, "w"), size.Draw(t, "h"), sub[0], sub[1], rapid.Bool().Draw(t, "grey"), 3)
		k := rapid.IntRange(1, 8).Draw(t, "orientation")
		w, h := m.Width, m.Height
		if Turned(k) {
			w, h = h, w
		}
		x, y := rapid.IntRange(0, w-1).Draw(t, "x"), rapid.IntRange(0, h-1).Draw(t, "y")
		r := image.Rect(x, y, rapid.IntRange(x+1, w).Draw(t, "to x"), rapid.IntRange(y+1, h).Draw(t, "to y"))
		got := Cut(m, Stored(r, m.Width, m.Height, k), k)
		if !got.Valid() || got.Width != r.Dx() || got.Height != r.Dy() || got.Grey() != m.Grey() {
			t.Fatalf("%v of %dx%d: %dx%d", r, w, h, got.Width, got.Height)
		}
		for sy := range m.Height {
			for sx := range m.Width {
				p := Upright(image.Pt(sx, sy), m.Width, m.Height, k)
				if !p.In(r) {
					continue
				}
				p = p.Sub(r.Min)
				if got.Y[p.Y*got.YStride+p.X] != m.Y[sy*m.YStride+sx] {
					t.Fatalf("luma of stored %d,%d is not at %v", sx, sy, p)
				}
				if m.Grey() {
					continue
				}
				at, of := p.Y/got.SubY*got.CStride+p.X/got.SubX, sy/m.SubY*m.CStride+sx/m.SubX
				if got.Cb[at] != m.Cb[of] || got.Cr[at] != m.Cr[of] {
					t.Fatalf("chroma of stored %d,%d is not at %v", sx, sy, p)
				}
			}
		}
	})
}

func TestCutOfATruncatedPicture(t *testing.T) {
	m := noise(40, 30, 2, 2, false, 1)
	m.Truncated, m.Rows = true, 20
	for _, c := range []struct {
		name      string
		r         image.Rectangle
		truncated bool
		rows      int
	}{
		{"above the end", image.Rect(0, 4, 10, 20), false, 16},
		{"across it", image.Rect(0, 10, 10, 25), true, 10},
		{"below it", image.Rect(0, 22, 10, 30), true, 0},
	} {
		if got := Cut(m, c.r, 1); got.Truncated != c.truncated || got.Rows != c.rows {
			t.Errorf("%s: %v, %d rows", c.name, got.Truncated, got.Rows)
		}
	}
}

func TestCutOfNothing(t *testing.T) {
	m := noise(4, 4, 1, 1, true, 1)
	if Cut(m, image.Rect(4, 0, 8, 4), 1) != nil || Cut(&jpeg.Image{}, image.Rect(0, 0, 1, 1), 1) != nil || Cut(m, image.Rectangle{}, 6) != nil {
		t.Error("a part of nothing")
	}
}

// A place goes to the upright picture and back.
func TestPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h, k := rapid.IntRange(1, 99).Draw(t, "w"), rapid.IntRange(1, 99).Draw(t, "h"), rapid.IntRange(0, 9).Draw(t, "orientation")
		p := image.Pt(rapid.IntRange(0, w-1).Draw(t, "x"), rapid.IntRange(0, h-1).Draw(t, "y"))
		up := Upright(p, w, h, k)
		if back := Stored(image.Rectangle{Min: up, Max: up.Add(image.Pt(1, 1))}, w, h, k); back.Min != p || back.Dx() != 1 || back.Dy() != 1 {
			t.Fatalf("%v went to %v and came back as %v", p, up, back)
		}
	})
}
