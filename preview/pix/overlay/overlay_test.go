package overlay

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// scene draws soft spots of all sizes, and one that is somewhere else in every frame of
// a burst. dx and dy are how the camera has moved.
func scene(seed uint64, spotX, spotY, dx, dy float64) *jpeg.Image {
	const w, h = 720, 480
	r := rand.New(rand.NewPCG(seed, 7))
	light := make([]float64, w*h)
	spot := func(x, y, size, height float64) {
		for v := max(0, int(y-3*size)); v < min(h, int(y+3*size)); v++ {
			for u := max(0, int(x-3*size)); u < min(w, int(x+3*size)); u++ {
				d := (float64(u)-x)*(float64(u)-x) + (float64(v)-y)*(float64(v)-y)
				light[v*w+u] += height * math.Exp(-d/(2*size*size))
			}
		}
	}
	for range 400 {
		spot(w*r.Float64()+dx, h*r.Float64()+dy, 3+40*r.Float64()*r.Float64(), 120*r.Float64()-60)
	}
	spot(spotX+dx, spotY+dy, 10, 90)
	m := &jpeg.Image{}
	m.Reset(w, h, 1, 1, true)
	for i, l := range light {
		m.Y[i] = byte(max(0, min(255, 110+l)))
	}
	return m
}

// edited cuts a part out, makes it smaller and changes its tones.
func edited(m *jpeg.Image, part float64, long int, gamma float64) *jpeg.Image {
	w, h := float64(m.Width), float64(m.Height)
	m = pix.Fit(pix.Cut(m, image.Rect(int(0.17*(1-part)*w), int(0.6*(1-part)*h), int((0.17+0.83*part)*w), int((0.6+0.4*part)*h)), 1), long)
	out := &jpeg.Image{}
	out.Reset(m.Width, m.Height, 1, 1, true)
	for i := range out.Y {
		out.Y[i] = byte(255*math.Pow(float64(m.Y[i])/255, gamma) + 0.5)
	}
	return out
}

// A picture lies on the frame that it is of, whatever was done to it, and on no other.
func TestOn(t *testing.T) {
	frame, other := NewFrame(scene(1, 100, 100, 0, 0)), NewFrame(scene(2, 100, 100, 0, 0))
	for _, c := range []struct {
		part  float64
		long  int
		gamma float64
	}{{1, 720, 1}, {1, 256, 0.6}, {0.8, 400, 1.4}, {0.55, 300, 0.8}} {
		p := New(edited(scene(1, 100, 100, 0, 0), c.part, c.long, c.gamma))
		if mean := p.On(frame).Mean(); mean > 0.03 {
			t.Errorf("%+v: %.3f on its own frame", c, mean)
		}
		if mean := p.On(other).Mean(); mean < 0.13 {
			t.Errorf("%+v: %.3f on another", c, mean)
		}
	}
}

// What moved between the frames of a burst, by a hundredth of the picture, tells them
// apart, though the camera moved as well; where nothing moved they are alike.
func TestAgainst(t *testing.T) {
	var pictures []*jpeg.Image
	var frames []Picture
	for i := range 4 {
		m := scene(3, float64(300+7*i), 200, float64(5*i), float64(-3*i))
		pictures, frames = append(pictures, m), append(frames, NewFrame(m))
	}
	for i, m := range pictures {
		p := New(edited(m, 0.9, 500, 0.7))
		own := p.On(frames[i])
		for k, f := range frames {
			better, worse := own.Against(p.On(f))
			if k != i && (better < 1 || worse > better/10) || k == i && better+worse != 0 {
				t.Errorf("%d against %d: %.3f better, %.3f worse", i, k, better, worse)
			}
		}
	}
}

// Whatever a picture is, it can be laid on another.
func TestOdd(t *testing.T) {
	frame := NewFrame(scene(1, 0, 0, 0, 0))
	for _, size := range []image.Point{{1, 1}, {3000, 1}, {1, 700}, {300, 7}, {64, 64}, {720, 480}} {
		m := &jpeg.Image{}
		m.Reset(size.X, size.Y, 1, 1, true)
		p := New(m)
		for _, got := range []float64{p.On(frame).Mean(), frame.On(NewFrame(m)).Mean(), p.On(NewFrame(m)).Mean()} {
			if math.IsNaN(got) || got < 0 {
				t.Errorf("%v: %v", size, got)
			}
		}
		if better, worse := p.On(frame).Against(Misfit{}); better != 0 || worse != 0 {
			t.Errorf("%v against nothing: %v, %v", size, better, worse)
		}
	}
}

// What a picture costs on each frame.
func BenchmarkOn(b *testing.B) {
	m := scene(3, 300, 200, 0, 0)
	frame, p := NewFrame(m), New(edited(m, 0.8, 500, 0.7))
	for range b.N {
		p.On(frame)
	}
}
