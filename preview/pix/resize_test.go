package pix

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"garner/preview/jpeg"
)

// wanted is one sample of a resized plane by the book, in floating point: the
// mean over the area, or between the two next middles.
func wanted(plane []byte, stride int, x, y axis, i, j int) float64 {
	across, down := exact(x, i), exact(y, j)
	sum := 0.0
	for r, v := range down {
		for c, w := range across {
			sum += float64(plane[r*stride+c]) * v * w
		}
	}
	return sum
}

func exact(a axis, i int) map[int]float64 {
	scale := float64(a.from) / float64(a.to)
	out := map[int]float64{}
	if a.to > a.from {
		at := min(max((float64(i)+0.5)*scale-0.5, 0), float64(a.size-1))
		f := math.Floor(at)
		out[int(f)] = 1 - (at - f)
		if at > f {
			out[int(f)+1] = at - f
		}
		return out
	}
	lo, hi := min(float64(i)*scale, float64(a.size-1)), min(float64(i+1)*scale, float64(a.size))
	for k := int(lo); k < a.size && float64(k) < hi; k++ {
		out[k] = (min(hi, float64(k+1)) - max(lo, float64(k))) / (hi - lo)
	}
	return out
}

func TestResizeAgainstTheBook(t *testing.T) {
	for _, tt := range []struct {
		w, h, to, high int
		tol            float64
	}{
		{97, 61, 97, 60, 3}, {97, 61, 50, 33, 3}, {97, 61, 96, 122, 3}, {97, 61, 300, 200, 3},
		{97, 61, 31, 20, 3}, {40, 300, 41, 30, 5}, {400, 30, 40, 31, 5}, {5, 5, 64, 64, 3}, {1, 1, 9, 9, 1}, {64, 64, 1, 1, 2},
		{600, 400, 70, 47, 4}, {1500, 30, 170, 29, 4},
		// Boxes, whose edges are not those of the result.
		{40, 300, 41, 7, 8}, {400, 30, 9, 31, 8}, {1500, 800, 60, 33, 6}, {3000, 20, 1, 20, 4},
	} {
		m := noise(tt.w, tt.h, 2, 2, false, 7)
		got := Resize(m, tt.to, tt.high)
		if !got.Valid() || got.Width != tt.to || got.Height != tt.high {
			t.Fatalf("%+v: %dx%d", tt, got.Width, got.Height)
		}
		x, y := axis{m.Width, tt.to, m.Width, tt.to}, axis{m.Height, tt.high, m.Height, tt.high}
		check := func(name string, plane []byte, stride int, src []byte, srcStride int) {
			worst, sum := 0.0, 0.0
			for j := range y.n {
				for i := range x.n {
					d := float64(plane[j*stride+i]) - wanted(src, srcStride, x, y, i, j)
					worst, sum = max(worst, math.Abs(d)), sum+d
				}
			}
			if bias := sum / float64(x.n*y.n); worst > tt.tol || math.Abs(bias) > 1 {
				t.Errorf("%+v %s: off by %.1f, on average by %.2f", tt, name, worst, bias)
			}
		}
		check("luma", got.Y, got.YStride, m.Y, m.YStride)
		x.size, y.size = m.ChromaSize()
		x.n, y.n = got.ChromaSize()
		check("chroma", got.Cr, got.CStride, m.Cr, m.CStride)
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

func BenchmarkResize(b *testing.B) {
	m := noise(1500, 1000, 2, 2, false, 1)
	for _, to := range [][2]int{{160, 106}, {1200, 800}, {1600, 1066}} {
		b.Run(fmt.Sprintf("1500x1000/%dx%d", to[0], to[1]), func(b *testing.B) {
			var into jpeg.Image
			b.ReportAllocs()
			for b.Loop() {
				ResizeInto(&into, m, to[0], to[1])
			}
		})
	}
}
