package pix

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"garner/preview/jpeg"
)

func noise(w, h, sx, sy int, grey bool, seed uint64) *jpeg.Image {
	m := &jpeg.Image{}
	m.Reset(w, h, sx, sy, grey)
	rnd := rand.New(rand.NewPCG(seed, 1))
	for _, p := range [][]byte{m.Y, m.Cb, m.Cr} {
		for i := range p {
			p[i] = byte(rnd.Uint32())
		}
	}
	return m
}

func TestSize(t *testing.T) {
	for _, c := range [][5]int{
		{6000, 4000, 1500, 1500, 1000}, {4000, 6000, 1500, 1000, 1500}, {570, 375, 256, 256, 168},
		{256, 100, 256, 256, 100}, {100, 50, 256, 100, 50}, {20000, 3, 256, 256, 1}, {10, 10, 0, 10, 10},
	} {
		if w, h := Size(c[0], c[1], c[2]); w != c[3] || h != c[4] {
			t.Errorf("%dx%d to %d gives %dx%d, want %dx%d", c[0], c[1], c[2], w, h, c[3], c[4])
		}
	}
}

// The definition of area averaging, in floating point and straight from the
// overlap of rectangles.
func areaMean(p []byte, stride, w, h int, x0, y0, x1, y1 float64) float64 {
	x1, y1 = min(x1, float64(w)), min(y1, float64(h))
	sum, area := 0.0, 0.0
	for y := int(y0); y < h && float64(y) < y1; y++ {
		for x := int(x0); x < w && float64(x) < x1; x++ {
			a := (min(float64(x+1), x1) - max(float64(x), x0)) * (min(float64(y+1), y1) - max(float64(y), y0))
			sum, area = sum+a*float64(p[y*stride+x]), area+a
		}
	}
	return sum / area
}

func TestFitIsTheMeanOfTheArea(t *testing.T) {
	for _, c := range []struct{ w, h, sx, sy, to int }{
		{301, 200, 2, 2, 100}, {97, 333, 2, 1, 64}, {64, 64, 1, 1, 8}, {211, 101, 4, 1, 50}, {55, 23, 2, 2, 1},
	} {
		m := noise(c.w, c.h, c.sx, c.sy, false, uint64(c.w))
		got := Fit(m, c.to)
		if !got.Valid() || max(got.Width, got.Height) != c.to {
			t.Fatalf("%+v: %dx%d, valid %v", c, got.Width, got.Height, got.Valid())
		}
		fx, fy := float64(m.Width)/float64(got.Width), float64(m.Height)/float64(got.Height)
		check := func(name string, dst []byte, ds, dw, dh int, src []byte, ss, sw, sh int) {
			for y := range dh {
				for x := range dw {
					want := areaMean(src, ss, sw, sh, float64(x)*fx, float64(y)*fy, float64(x+1)*fx, float64(y+1)*fy)
					if d := math.Abs(float64(dst[y*ds+x]) - want); d > 1.1 { // rounded twice
						t.Fatalf("%+v: %s at %d,%d is %d, want %.2f", c, name, x, y, dst[y*ds+x], want)
					}
				}
			}
		}
		cw, ch := m.ChromaSize()
		gw, gh := got.ChromaSize()
		check("Y", got.Y, got.YStride, got.Width, got.Height, m.Y, m.YStride, m.Width, m.Height)
		check("Cb", got.Cb, got.CStride, gw, gh, m.Cb, m.CStride, cw, ch)
		check("Cr", got.Cr, got.CStride, gw, gh, m.Cr, m.CStride, cw, ch)
	}
}

// A flat picture keeps its value at any size, black and white included.
func TestFlatStaysFlat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := &jpeg.Image{}
		sub := rapid.SampledFrom([][2]int{{1, 1}, {2, 1}, {2, 2}, {4, 2}}).Draw(t, "sub")
		m.Reset(rapid.IntRange(1, 300).Draw(t, "w"), rapid.IntRange(1, 300).Draw(t, "h"), sub[0], sub[1], rapid.Bool().Draw(t, "grey"))
		v := rapid.Byte().Draw(t, "v")
		for _, p := range [][]byte{m.Y, m.Cb, m.Cr} {
			for i := range p {
				p[i] = v
			}
		}
		edge := rapid.IntRange(1, 310).Draw(t, "edge")
		got := Fit(m, edge)
		if !got.Valid() || got.Grey() != m.Grey() || max(got.Width, got.Height) != min(edge, max(m.Width, m.Height)) {
			t.Fatalf("%dx%d, valid %v", got.Width, got.Height, got.Valid())
		}
		w, h := got.ChromaSize()
		for i, p := range [][]byte{got.Y[:got.Width*got.Height], got.Cb[:w*h], got.Cr[:w*h]} {
			for _, s := range p {
				if s != v {
					t.Fatalf("plane %d has %d, want %d", i, s, v)
				}
			}
		}
	})
}

// Weights that are rounded down must not darken: many of them to one sample.
func TestFlatStaysFlatFromFarAway(t *testing.T) {
	for _, size := range [][2]int{{2999, 301}, {301, 2999}, {4001, 1}} {
		m := &jpeg.Image{}
		m.Reset(size[0], size[1], 1, 1, true)
		for i := range m.Y {
			m.Y[i] = 255
		}
		for edge := 1; edge < 12; edge++ {
			got := Fit(m, edge)
			for _, v := range got.Y {
				if v != 255 {
					t.Fatalf("%v to %d: white became %d", size, edge, v)
				}
			}
		}
	}
}

func TestFitNeverGrows(t *testing.T) {
	m := noise(50, 40, 2, 2, false, 3)
	if Fit(m, 50) != m || Fit(m, 500) != m {
		t.Error("a picture that fits was changed")
	}
}

// A little smaller must stay sharp: of stripes of period 8 at 0.8 of the size,
// a Lanczos filter keeps more than averaging does.
func TestSlightlySmallerStaysSharp(t *testing.T) {
	m := &jpeg.Image{}
	m.Reset(500, 20, 1, 1, true)
	for i := range m.Y {
		m.Y[i] = byte(128 + 100*math.Sin(float64(i%500)*2*math.Pi/4))
	}
	contrast := func(m *jpeg.Image) int {
		lo, hi := byte(255), byte(0)
		for _, v := range m.Y[10*m.YStride+20 : 10*m.YStride+m.Width-20] {
			lo, hi = min(lo, v), max(hi, v)
		}
		return int(hi) - int(lo)
	}
	got := Fit(m, 400)
	mean := &jpeg.Image{}
	mean.Reset(400, 16, 1, 1, true)
	scale{axis{500, 400, 500, 400}, axis{20, 16, 20, 16}, false}.planes(400, 500, job{mean.Y, m.Y})
	if contrast(got) < contrast(mean)+10 {
		t.Errorf("contrast %d, by averaging %d, of %d", contrast(got), contrast(mean), contrast(m))
	}
}

func TestThumb(t *testing.T) {
	for k := 1; k <= 8; k++ {
		w, h := 600, 400
		if Turned(k) {
			w, h = h, w
		}
		got := Thumb(noise(w, h, 2, 2, false, 1), k)
		if got.Width != 256 || got.Height != 171 || !got.Valid() {
			t.Errorf("orientation %d: %dx%d", k, got.Width, got.Height)
		}
	}
}

func TestFitKeepsRows(t *testing.T) {
	m := noise(100, 100, 1, 1, true, 1)
	m.Truncated, m.Rows = true, 50
	if got := Fit(m, 20); !got.Truncated || got.Rows != 10 {
		t.Errorf("truncated %v, rows %d", got.Truncated, got.Rows)
	}
}
