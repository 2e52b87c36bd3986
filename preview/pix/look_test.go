package pix

import (
	"image"
	"image/color"
	"math/bits"
	"testing"

	"github.com/corona10/goimagehash"

	"garner/preview/jpeg"
)

func looks(t testing.TB, m *jpeg.Image) Looks {
	t.Helper()
	l, err := Look(m)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Every window has the hash that the module goimagehash gives for the same square.
func TestHashesAreThoseOfGoimagehash(t *testing.T) {
	pictures := map[string]*jpeg.Image{"noise": noise(90, 60, 2, 2, false, 3), "upright": noise(77, 131, 1, 1, true, 4)}
	for i, m := range nefPreviews(t) {
		pictures[[]string{"full", "screen", "thumb"}[i]] = Thumb(m, 1)
	}
	for name, m := range pictures {
		got := looks(t, m)
		if h := finger(t, m); h != got.Parts[0] {
			t.Errorf("%s: the first part is %016x, the fingerprint %016x", name, got.Parts[0], h)
		}
		for i, h := range got.Parts {
			var s square
			x, y, size := PartOf(i)
			(&windows{m: m}).fill(&s, x, y, size, size)
			want, err := goimagehash.PerceptionHash(&image.Gray{Pix: s[:], Stride: squareEdge, Rect: image.Rect(0, 0, squareEdge, squareEdge)})
			if err != nil {
				t.Fatal(err)
			}
			if want.GetHash() != h {
				t.Errorf("%s, part %d: %016x, goimagehash %016x", name, i, h, want.GetHash())
			}
			if bits.OnesCount64(h) != 32 {
				t.Errorf("%s, part %d: %d bits are set", name, i, bits.OnesCount64(h))
			}
		}
	}
}

// The parts lie where they are said to lie: each is the first part of the picture
// cut there, but for the rounding of its edges to whole samples.
func TestPartsLieInTheirPlaces(t *testing.T) {
	m := Thumb(nefPreviews(t)[0], 1)
	l := looks(t, m)
	for i := range l.Parts {
		x, y, size := PartOf(i)
		share := func(v float64, of int) int { return int(v*float64(of) + 0.5) }
		left, top := share(x, m.Width), share(y, m.Height)
		cut := Cut(m, image.Rect(left, top, left+share(size, m.Width), top+share(size, m.Height)), 1)
		if d := Distance(l.Parts[i], finger(t, cut)); d > 4 {
			t.Errorf("part %d differs from the picture cut there in %d bits", i, d)
		}
	}
}

// Turned upright, each of the eight stored forms of one picture looks the same
// (TIFF 6.0 section 8, Orientation).
func TestLookOfEightOrientations(t *testing.T) {
	up := Thumb(nefPreviews(t)[1], 1)
	want := looks(t, up)
	back := [9]int{0, 1, 2, 3, 4, 5, 8, 7, 6}
	for o := 1; o <= 8; o++ {
		stored := Orient(up, back[o])
		got := looks(t, Orient(stored, o))
		for i := range got.Parts {
			if d := Distance(want.Parts[i], got.Parts[i]); d > 4 {
				t.Errorf("orientation %d, part %d: %d bits", o, i, d)
			}
		}
		if got.Columns != want.Columns || got.Rows != want.Rows {
			t.Errorf("orientation %d: other columns or rows", o)
		}
		if o > 1 && Distance(want.Parts[0], looks(t, stored).Parts[0]) < 8 {
			t.Errorf("orientation %d: as stored it differs hardly", o)
		}
	}
}

func TestLookOfBars(t *testing.T) {
	m := noise(256, 128, 1, 1, true, 1)
	for y := range m.Height {
		for x := range m.Width {
			m.Y[y*m.YStride+x] = byte(x/8*7 + y/64)
		}
	}
	l := looks(t, m)
	for i := range LookBars {
		if want := byte(i * 7); l.Columns[i] != want && l.Columns[i] != want+1 {
			t.Errorf("column %d has %d, want %d or one more", i, l.Columns[i], want)
		}
		if want := byte(31*7/2 + i/16); l.Rows[i] < want || l.Rows[i] > want+1 {
			t.Errorf("row %d has %d, want about %d", i, l.Rows[i], want)
		}
	}
}

func TestLookOfColour(t *testing.T) {
	plain := func(c color.RGBA, patch int) *jpeg.Image {
		m := noise(120, 80, 2, 2, false, 1)
		y, cb, cr := color.RGBToYCbCr(c.R, c.G, c.B)
		for i := range m.Y {
			m.Y[i] = y + m.Y[i]%4
		}
		for i := range m.Cb {
			if i >= patch {
				m.Cb[i], m.Cr[i] = cb, cr
			}
		}
		return m
	}
	for _, c := range []struct {
		name  string
		m     *jpeg.Image
		rgb   [3]uint8
		grey  bool
		exact int
	}{
		{"grey without chroma", noise(120, 80, 1, 1, true, 1), [3]uint8{128, 128, 128}, true, 12},
		{"grey with chroma", plain(color.RGBA{R: 100, G: 100, B: 100}, 0), [3]uint8{101, 101, 101}, true, 2},
		{"sepia", plain(color.RGBA{R: 112, G: 100, B: 80}, 0), [3]uint8{113, 101, 81}, false, 3},
		{"one coloured part", plain(color.RGBA{R: 100, G: 100, B: 100}, 60), [3]uint8{101, 101, 101}, false, 4},
		{"red", plain(color.RGBA{R: 200, G: 30, B: 30}, 0), [3]uint8{201, 31, 31}, false, 3},
	} {
		l := looks(t, c.m)
		if l.Grey != c.grey {
			t.Errorf("%s: grey %v", c.name, l.Grey)
		}
		for i, v := range [3]uint8{l.Red, l.Green, l.Blue} {
			if d := int(v) - int(c.rgb[i]); d > c.exact || d < -c.exact {
				t.Errorf("%s: %d %d %d, want %v", c.name, l.Red, l.Green, l.Blue, c.rgb)
				break
			}
		}
	}
	flat := &jpeg.Image{}
	flat.Reset(60, 40, 1, 1, true)
	if looks(t, flat).Grey {
		t.Error("a picture without content is called black-and-white")
	}
	if l, err := Look(&jpeg.Image{}); err == nil || l.Method != 0 {
		t.Errorf("an empty picture: %v, %v", l, err)
	}
}

// Detail falls where a picture is blurred, and noise alone is none.
func TestLookOfDetail(t *testing.T) {
	m := Thumb(nefPreviews(t)[0], 1)
	sharp := looks(t, m).Detail
	soft := looks(t, blurred(m, 2)).Detail
	for i := range sharp {
		if sharp[i] > 2*perOctave && int(soft[i]) > int(sharp[i])-perOctave {
			t.Errorf("tile %d has %d, blurred %d", i, sharp[i], soft[i])
		}
	}
	half := clone(m) // sharp on the left only
	for y := range m.Height {
		copy(half.Y[y*half.YStride+m.Width/2:][:m.Width-m.Width/2], blurred(m, 2).Y[y*m.YStride+m.Width/2:])
	}
	for i, v := range looks(t, half).Detail {
		want := sharp[i]
		if i%4 >= 2 {
			want = soft[i]
		}
		if d := int(v) - int(want); d > perOctave || d < -perOctave {
			t.Errorf("sharp on the left, tile %d: %d, want about %d", i, v, want)
		}
	}
	for _, strength := range []int{2, 4, 6} {
		grainy := noise(256, 171, 1, 1, true, 7)
		for i, v := range grainy.Y {
			grainy.Y[i] = byte(100 + int(v)*strength/256)
		}
		for i, v := range looks(t, grainy).Detail {
			if v > 2*perOctave {
				t.Errorf("noise of %d alone: tile %d has %d", strength, i, v)
			}
		}
	}
}

// blurred is the mean of the squares of 2r+1 samples.
func blurred(m *jpeg.Image, r int) *jpeg.Image {
	out := clone(m)
	for y := range m.Height {
		for x := range m.Width {
			sum, n := 0, 0
			for v := max(y-r, 0); v <= min(y+r, m.Height-1); v++ {
				for u := max(x-r, 0); u <= min(x+r, m.Width-1); u++ {
					sum, n = sum+int(m.Y[v*m.YStride+u]), n+1
				}
			}
			out.Y[y*out.YStride+x] = byte(sum / n)
		}
	}
	return out
}
