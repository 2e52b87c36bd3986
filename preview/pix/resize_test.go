package pix

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"garner/preview/jpeg"
)

// exact are the weights of one sample by the definitions: the share of the area, the
// Lanczos filter of three lobes at the scale of the result, the cubic convolution of
// Keys (1981) with a = -1/2, and the line between the two next middles.
func exact(a axis, i int, fine bool) map[int]float64 {
	scale := float64(a.from) / float64(a.to)
	out := map[int]float64{}
	sinc := func(x float64) float64 {
		if x == 0 {
			return 1
		}
		return math.Sin(math.Pi*x) / (math.Pi * x)
	}
	at := (float64(i)+0.5)*scale - 0.5
	for k := range a.size {
		x := math.Abs(float64(k) - at)
		switch {
		case fine && scale > 1 && scale < 2:
			if x < 3*scale {
				out[k] = sinc(x/scale) * sinc(x/scale/3)
			}
		case fine && scale < 1:
			switch {
			case x <= 1:
				out[k] = 1.5*x*x*x - 2.5*x*x + 1
			case x <= 2:
				out[k] = -0.5*x*x*x + 2.5*x*x - 4*x + 2
			}
		case scale < 1:
			if x < 1 {
				out[k] = 1 - x
			}
		default:
			lo := min(float64(i)*scale, float64(a.size-1))
			if v := min(float64(i+1)*scale, float64(k+1)) - max(lo, float64(k)); v > 0 {
				out[k] = v
			}
		}
	}
	sum := 0.0
	for _, v := range out {
		sum += v
	}
	for k := range out {
		out[k] /= sum
	}
	return out
}

func TestResizeAgainstTheBook(t *testing.T) {
	for _, tt := range []struct {
		w, h, to, high int
		tol            float64
	}{
		{97, 61, 97, 60, 1.5}, {97, 61, 50, 33, 1.5}, {97, 61, 96, 122, 1.5}, {97, 61, 300, 200, 1.5},
		{97, 61, 31, 20, 1.5}, {40, 300, 41, 30, 1.5}, {400, 30, 40, 31, 1.5}, {5, 5, 64, 64, 1.5}, {1, 1, 9, 9, 1}, {64, 64, 1, 1, 1.5},
		{600, 400, 70, 47, 1.5}, {1500, 30, 170, 29, 1.5}, {900, 600, 833, 556, 1.5}, {900, 600, 460, 306, 1.5}, {33, 40, 31, 8, 1.5},
		{40, 300, 41, 7, 1.5}, {400, 30, 9, 31, 1.5}, {1500, 800, 60, 33, 1.5}, {2, 3, 1, 2, 1.5}, {7, 9, 6, 8, 1.5},
		// Boxes, whose edges are not those of the result.
		{3000, 20, 1, 20, 4}, {5000, 300, 60, 3, 5},
	} {
		m := noise(tt.w, tt.h, 2, 2, false, 7)
		for i := range m.Y { // what overshoots is not clipped
			m.Y[i] = 80 + m.Y[i]*3/8
		}
		got := Resize(m, tt.to, tt.high)
		if !got.Valid() || got.Width != tt.to || got.Height != tt.high {
			t.Fatalf("%+v: %dx%d", tt, got.Width, got.Height)
		}
		x, y := axis{m.Width, tt.to, m.Width, tt.to}, axis{m.Height, tt.high, m.Height, tt.high}
		check := func(name string, plane []byte, stride int, src []byte, srcStride int, fine bool) {
			worst, sum := 0.0, 0.0
			var across, down []map[int]float64
			for i := range x.n {
				across = append(across, exact(x, i, fine))
			}
			for j := range y.n {
				down = append(down, exact(y, j, fine))
			}
			for j := range y.n {
				line := make([]float64, x.size) // the weighted rows
				for r, v := range down[j] {
					for c := range line {
						line[c] += float64(src[r*srcStride+c]) * v
					}
				}
				for i := range x.n {
					want := 0.0
					for c, w := range across[i] {
						want += line[c] * w
					}
					d := float64(plane[j*stride+i]) - want
					worst, sum = max(worst, math.Abs(d)), sum+d
				}
			}
			if bias := sum / float64(x.n*y.n); worst > tt.tol || math.Abs(bias) > 1 {
				t.Errorf("%+v %s: off by %.1f, on average by %.2f", tt, name, worst, bias)
			}
		}
		check("luma", got.Y, got.YStride, m.Y, m.YStride, true)
		x.size, y.size = m.ChromaSize()
		x.n, y.n = got.ChromaSize()
		check("chroma", got.Cr, got.CStride, m.Cr, m.CStride, false)
	}
}

func TestResizeProperties(t *testing.T) {
	var into jpeg.Image
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.IntRange(1, 200)
		w, h, tw, th := size.Draw(t, "w"), size.Draw(t, "h"), size.Draw(t, "tw"), size.Draw(t, "th")
		sx, sy := rapid.SampledFrom([]int{1, 2, 4}).Draw(t, "sx"), rapid.SampledFrom([]int{1, 2}).Draw(t, "sy")
		m := &jpeg.Image{}
		m.Reset(w, h, sx, sy, rapid.Bool().Draw(t, "grey"))
		v := rapid.Byte().Draw(t, "value")
		for _, p := range [][]byte{m.Y, m.Cb, m.Cr} {
			for i := range p {
				p[i] = v
			}
		}
		got := ResizeInto(&into, m, tw, th)
		if !got.Valid() || got.Width != tw || got.Height != th || got.Grey() != m.Grey() {
			t.Fatalf("%dx%d", got.Width, got.Height)
		}
		for y := range th { // a flat plane keeps its value
			for x := range tw {
				if got.Y[y*got.YStride+x] != v {
					t.Fatalf("%d at %d,%d instead of %d", got.Y[y*got.YStride+x], x, y, v)
				}
			}
		}
		if cw, ch := got.ChromaSize(); cw > 0 && (got.Cb[(ch-1)*got.CStride+cw-1] != v || got.Cr[0] != v) {
			t.Fatal("chroma")
		}
	})
}

func TestResizeNothing(t *testing.T) {
	m := noise(5, 5, 1, 1, true, 1)
	if Resize(nil, 5, 5) != nil || Resize(&jpeg.Image{}, 5, 5) != nil || Resize(m, 0, 5) != nil || Resize(m, 5, -1) != nil {
		t.Error("made something of nothing")
	}
	if Resize(m, 5, 5) != m {
		t.Error("copied a picture of the right size")
	}
	m.Truncated, m.Rows = true, 3
	if got := Resize(m, 10, 10); !got.Truncated || got.Rows != 6 {
		t.Errorf("truncated %v, %d rows", got.Truncated, got.Rows)
	}
}
