package overlay

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// gravel is stones of all tones: least squares come to nothing from a stone further.
func gravel(seed uint64) *jpeg.Image {
	r := rand.New(rand.NewPCG(seed, 8))
	m := &jpeg.Image{}
	m.Reset(720, 480, 1, 1, true)
	for range 3000 {
		x, y, w, h, luma := r.IntN(720), r.IntN(480), 8+r.IntN(16), 8+r.IntN(16), byte(r.IntN(256))
		for v := y; v < min(y+h, 480); v++ {
			for u := x; u < min(x+w, 720); u++ {
				m.Y[v*m.YStride+u] = luma
			}
		}
	}
	return m
}

// A picture agrees with the thumbnail of its own frame, about where it is said to lie, and
// not with that of another.
func TestNear(t *testing.T) {
	frame, other := NewFrame(pix.Thumb(gravel(1), 1)), NewFrame(pix.Thumb(gravel(2), 1))
	for _, c := range []struct {
		part  float64
		long  int
		gamma float64
	}{{1, 720, 1}, {1, 256, 0.6}, {0.8, 400, 1.4}, {0.5, 300, 0.8}} {
		p := NewSmall(edited(gravel(1), c.part, c.long, c.gamma))
		x, y := 0.17*(1-c.part), 0.6*(1-c.part) // where edited cuts it out
		for _, off := range []float64{0, 0.03, -0.03} {
			if got := p.Near(frame, x+off, y-off, c.part+off).Agree(); got < 0.85 {
				t.Errorf("%+v, %.3f off: %.3f on its own frame", c, off, got)
			}
			if got := p.Near(other, x+off, y-off, c.part+off).Agree(); got > 0.3 {
				t.Errorf("%+v, %.3f off: %.3f on another", c, off, got)
			}
		}
	}
}

// On frames of one place a picture lies where it lies on one of them, as far as what moved
// lets it; elsewhere it does not.
func TestThere(t *testing.T) {
	thumb := func(m *jpeg.Image) Picture { return NewFrame(pix.Thumb(m, 1)) }
	own, moved, elsewhere := scene(3, 300, 200, 0, 0), scene(3, 380, 260, 0, 0), scene(3, 300, 200, 60, 40)
	p := NewSmall(edited(own, 0.8, 400, 1.4))
	as := p.Near(thumb(own), 0.04, 0.11, 0.82)
	if got := p.There(thumb(own), as); got.Agree() != as.Agree() || as.Agree() < 0.95 {
		t.Errorf("on the same frame %.3f, then %.3f", as.Agree(), got.Agree())
	}
	if got := p.There(thumb(moved), as).Agree(); got < 0.7 || got >= as.Agree() {
		t.Errorf("where something moved %.3f, was %.3f", got, as.Agree())
	}
	if got := p.There(thumb(elsewhere), as).Agree(); got > 0.5 {
		t.Errorf("where the camera moved %.3f", got)
	}
}

// What is written over a picture costs no more than what it covers, whatever it is, and an
// empty sky is nothing to agree in.
func TestAgree(t *testing.T) {
	const w, h = 720, 480
	sky := func(m *jpeg.Image, luma byte, r image.Rectangle) *jpeg.Image {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				m.Y[y*m.YStride+x] = luma
			}
		}
		return m
	}
	near := func(p, frame *jpeg.Image) float64 {
		return NewSmall(p).Near(NewFrame(pix.Thumb(frame, 1)), 0, 0, 1).Agree()
	}
	stamp := image.Rect(480, 400, 700, 460) // 4 % of it
	for _, luma := range []byte{0, 255} {
		if got := near(sky(scene(1, 100, 100, 0, 0), luma, stamp), scene(1, 100, 100, 0, 0)); got < 0.85 || got > 0.97 {
			t.Errorf("with a stamp of %d: %.3f", luma, got)
		}
	}
	most := image.Rect(0, 0, w, h*4/5)
	if got := near(sky(scene(1, 100, 100, 0, 0), 200, most), sky(scene(2, 100, 100, 0, 0), 200, most)); got > 0.4 {
		t.Errorf("under one sky: %.3f", got)
	}
	if got := near(sky(scene(1, 100, 100, 0, 0), 200, most), sky(scene(1, 100, 100, 0, 0), 180, most)); got < 0.85 {
		t.Errorf("the same under another sky: %.3f", got)
	}
	if got := (Misfit{}).Agree(); got != 0 {
		t.Errorf("nothing agrees by %v", got)
	}
}

// Whatever a picture is, and wherever it is said to lie, it can be laid on another.
func TestOddNear(t *testing.T) {
	whole := scene(1, 0, 0, 0, 0)
	frame, small := NewFrame(whole), NewSmall(whole)
	for _, size := range []image.Point{{1, 1}, {3000, 1}, {1, 700}, {300, 7}, {64, 64}, {720, 480}} {
		m := &jpeg.Image{}
		m.Reset(size.X, size.Y, 1, 1, true)
		p := NewSmall(m)
		for _, at := range [][3]float64{{0, 0, 1}, {0.9, 0.9, 1}, {-1, 2, 0.5}, {0, 0, 1e-9}, {0, 0, 40}} {
			for _, got := range []Misfit{p.Near(frame, at[0], at[1], at[2]), small.Near(NewFrame(m), at[0], at[1], at[2])} {
				if v := got.Agree(); math.IsNaN(v) || v < 0 || v > 1 {
					t.Errorf("%v at %v: %v", size, at, v)
				}
			}
		}
	}
}

// What a picture costs on the thumbnail of its own frame and on that of another.
func BenchmarkNear(b *testing.B) {
	p := NewSmall(edited(scene(3, 300, 200, 0, 0), 0.8, 500, 0.7))
	for name, seed := range map[string]uint64{"own": 3, "another": 4} {
		frame := NewFrame(pix.Thumb(scene(seed, 300, 200, 0, 0), 1))
		b.Run(name, func(b *testing.B) {
			for range b.N {
				p.Near(frame, 0.04, 0.11, 0.81)
			}
		})
	}
}
