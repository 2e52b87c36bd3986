package face

import (
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"garner/preview/jpeg"
)

// painted is a picture whose planes are given by functions of their samples.
func painted(w, h, subX, subY int, luma, cb, cr func(x, y int) byte) *jpeg.Image {
	m := &jpeg.Image{}
	m.Reset(w, h, subX, subY, cb == nil)
	for y := range h {
		for x := range w {
			m.Y[y*m.YStride+x] = luma(x, y)
		}
	}
	cw, ch := m.ChromaSize()
	for y := range ch {
		for x := range cw {
			m.Cb[y*m.CStride+x], m.Cr[y*m.CStride+x] = cb(x, y), cr(x, y)
		}
	}
	return m
}

func taken(m *jpeg.Image, side int, to move, round outside) []float32 {
	dst := make([]float32, side*side*3)
	new(taker).take(dst, input{side, 1, 0}, m, to, round)
	return dst
}

// Taken as it is a picture has the colours that Go's image/color gives for its
// samples (the matrix of JFIF), and zero round it.
func TestTakePixels(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	noise := func(int, int) byte { return byte(rnd.UintN(256)) }
	for _, grey := range []bool{false, true} {
		chroma := noise
		if grey {
			chroma = nil
		}
		m := painted(23, 17, 1, 1, noise, chroma, chroma)
		got := taken(m, 24, move{A: 1}, black)
		for y := range 24 {
			for x := range 24 {
				want := [3]float64{}
				if x < m.Width && y < m.Height {
					c := color.YCbCr{Y: m.Y[y*m.YStride+x], Cb: 128, Cr: 128}
					if !grey {
						c.Cb, c.Cr = m.Cb[y*m.CStride+x], m.Cr[y*m.CStride+x]
					}
					r, g, b, _ := c.RGBA()
					want = [3]float64{float64(r) / 257, float64(g) / 257, float64(b) / 257}
				}
				for k, w := range want {
					if v := float64(got[(y*24+x)*3+k]); math.Abs(v-w) > 1 {
						t.Fatalf("grey %v, %d,%d, channel %d: %.2f, want %.2f", grey, x, y, k, v, w)
					}
				}
			}
		}
	}
}

// A slope is taken without a step, whatever the scale, the angle and the subsampling:
// what lies at a place of the picture is known.
func TestTakeSlope(t *testing.T) {
	for _, sub := range [][2]int{{1, 1}, {2, 1}, {2, 2}, {1, 2}, {4, 1}, {4, 2}} {
		sx, sy := float64(sub[0]), float64(sub[1])
		m := painted(400, 300, sub[0], sub[1],
			func(x, y int) byte { return byte(40 + (x+y)/4) },
			func(x, y int) byte { return byte(90 + (float64(x)+0.5)*sx/8) },
			func(x, y int) byte { return byte(100 + (float64(y)+0.5)*sy/8) })
		for _, to := range []move{
			square(32, Point{200, 150}, 20, 0.4), square(32, Point{200, 150}, 32, 0), square(32, Point{190, 140}, 100, -0.8),
			square(32, Point{200, 150}, 180, 3), square(32, Point{210, 150}, 43, 1.57),
		} {
			got := taken(m, 32, to, edge)
			for y := range 32 {
				for x := range 32 {
					p := to.of(Point{float64(x) + 0.5, float64(y) + 0.5})
					l, cb, cr := 40+(p.X+p.Y-1)/4-0.375, 90+p.X/8-0.5-128, 100+p.Y/8-0.5-128
					want := [3]float64{l + 1.402*cr, l - 0.344136*cb - 0.714136*cr, l + 1.772*cb}
					for k, w := range want {
						if v := float64(got[(y*32+x)*3+k]); math.Abs(v-min(max(w, 0), 255)) > 2.5 {
							t.Fatalf("subsampling %v, %+v, %d,%d, channel %d: %.1f, want %.1f", sub, to, x, y, k, v, w)
						}
					}
				}
			}
		}
	}
}

// Lines finer than a pixel of what is taken become their mean and no pattern.
func TestTakeMeans(t *testing.T) {
	m := painted(600, 600, 2, 2, func(x, y int) byte { return byte(x%2) * 200 },
		func(int, int) byte { return 128 }, func(int, int) byte { return 128 })
	for _, angle := range []float64{0, 0.3, 1.2} {
		for i, v := range taken(m, 50, square(50, Point{300, 300}, 400, angle), edge) {
			if math.Abs(float64(v)-100) > 6 {
				t.Fatalf("turned by %v: value %d is %.1f, want the mean of 100", angle, i, v)
			}
		}
	}
}

func TestTakeBeyondTheEdge(t *testing.T) {
	m := painted(10, 10, 2, 2, func(x, y int) byte { return byte(20 * x) }, func(int, int) byte { return 128 }, func(int, int) byte { return 128 })
	for _, size := range []float64{8, 80} { // larger and smaller than in the picture
		left := taken(m, 16, square(16, Point{-500, 5}, size, 0.1), edge)
		right := taken(m, 16, square(16, Point{500, 5}, size, 0.1), edge)
		none := taken(m, 16, square(16, Point{500, 5}, size, 0.1), black)
		for i := range left {
			if left[i] > 40 || right[i] < 140 || none[i] != 0 {
				t.Fatalf("size %v, value %d: left %v, right %v, black %v", size, i, left[i], right[i], none[i])
			}
		}
	}
	one := painted(1, 1, 1, 1, func(int, int) byte { return 77 }, nil, nil)
	for _, to := range []move{letterbox(oneRect), square(16, Point{0.5, 0.5}, 1e6, 1), square(16, Point{0.5, 0.5}, 1e-6, 1)} {
		for i, v := range taken(one, 16, to, edge) {
			if v != 77 {
				t.Fatalf("one pixel, %+v: value %d is %v", to, i, v)
			}
		}
	}
}
