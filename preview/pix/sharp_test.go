package pix

import (
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/preview/jpeg"
)

// plane is a grey picture for tests with values in floating point.
type plane struct {
	w, h int
	v    []float64
}

func planeOf(w, h int, f func(x, y int) float64) plane {
	p := plane{w, h, make([]float64, w*h)}
	for y := range h {
		for x := range w {
			p.v[y*w+x] = f(x, y)
		}
	}
	return p
}

// blurred is p behind a Gaussian of that deviation.
func (p plane) blurred(sigma float64) plane {
	n := int(3*sigma) + 1
	var k []float64
	sum := 0.0
	for i := -n; i <= n; i++ {
		v := math.Exp(-float64(i*i) / (2 * sigma * sigma))
		k, sum = append(k, v), sum+v
	}
	pass := func(from plane, dx, dy int) plane {
		return planeOf(p.w, p.h, func(x, y int) float64 {
			s := 0.0
			for i, v := range k {
				s += v * from.v[min(max(y+(i-n)*dy, 0), p.h-1)*p.w+min(max(x+(i-n)*dx, 0), p.w-1)]
			}
			return s / sum
		})
	}
	return pass(pass(p, 1, 0), 0, 1)
}

func (p plane) part(r image.Rectangle) plane {
	return planeOf(r.Dx(), r.Dy(), func(x, y int) float64 { return p.v[(r.Min.Y+y)*p.w+r.Min.X+x] })
}

// image rounds, with noise of a deviation that may depend on the value.
func (p plane) image(deviation func(v float64) float64, random *rand.Rand) *jpeg.Image {
	m := &jpeg.Image{}
	m.Reset(p.w, p.h, 1, 1, true)
	for i, v := range p.v {
		m.Y[i] = byte(min(max(math.Round(v+random.NormFloat64()*deviation(v)), 0), 255))
	}
	return m
}

func even(d float64) func(float64) float64 { return func(float64) float64 { return d } }

// texture is random structure of fine detail round a level.
func texture(seed uint64, w, h int, level, height float64) plane {
	random := rand.New(rand.NewPCG(seed, 2))
	p := planeOf(w, h, func(x, y int) float64 { return random.NormFloat64() })
	p = p.blurred(0.8)
	for i, v := range p.v {
		p.v[i] = level + v*height*2.5
	}
	return p
}

// put lays q over p.
func (p plane) put(q plane, x, y int) {
	for r := range q.h {
		copy(p.v[(y+r)*p.w+x:][:q.w], q.v[r*q.w:])
	}
}

// found is where the best spot is, after Sharpest and Compare at one scale.
func found(m *jpeg.Image) (image.Point, float64) {
	spots := Sharpest(m, 20)
	if len(spots) == 0 {
		return image.Pt(m.Width/2, m.Height/2), 0
	}
	return spots[0].At, spots[0].Score
}

// A photo that is out of focus but for one part, with and without noise: the part
// is found, wherever it is.
func TestSharpestInABlurredPhoto(t *testing.T) {
	src := nefPreviews(t)[0] // 750x500
	photo := planeOf(src.Width, src.Height, func(x, y int) float64 { return float64(src.Y[y*src.YStride+x]) })
	soft := photo.blurred(2.5)
	random := rand.New(rand.NewPCG(1, 1))
	tried := 0
	for _, deviation := range []float64{0, 2, 5} {
		for y := 24; y+80 < photo.h; y += 93 {
			for x := 24; x+80 < photo.w; x += 101 {
				part := image.Rect(x, y, x+80, y+80)
				if photo.contrast(part) < 14+3*deviation {
					continue // nothing that could be in focus
				}
				tried++
				p := plane{soft.w, soft.h, slices.Clone(soft.v)}
				p.put(photo.part(part), x, y)
				at, score := found(p.image(even(deviation), random))
				if !at.In(part.Inset(-TileEdge / 2)) {
					t.Errorf("noise %v, sharp at %v: found %v with %.3f", deviation, part, at, score)
				}
			}
		}
	}
	if tried < 40 {
		t.Errorf("only %d parts", tried)
	}
}

// contrast is the deviation of a part.
func (p plane) contrast(r image.Rectangle) float64 {
	var sum, squares float64
	q := p.part(r)
	for _, v := range q.v {
		sum, squares = sum+v, squares+v*v
	}
	n := float64(len(q.v))
	return math.Sqrt(max(squares/n-sum/n*sum/n, 0))
}

// What a measure of mere energy falls for.
func TestSharpestIsNotFooled(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	subject := image.Rect(300, 200, 380, 280)
	scene := func() plane { // soft all over
		return texture(3, 600, 400, 120, 60).blurred(6)
	}
	for _, c := range []struct {
		name  string
		draw  func(p plane)
		noise func(float64) float64
	}{
		{"a bright straight edge", func(p plane) {
			for y := 20; y < 380; y++ {
				for x := 60; x < 90; x++ {
					p.v[y*p.w+x] = 255
				}
			}
		}, even(1)},
		{"highlights of two pixels", func(p plane) {
			for i := range 12 {
				for k := range 4 {
					p.v[(40+i*27+k/2)*p.w+500+i%3*20+k%2] = 255
				}
			}
		}, even(1)},
		{"large dark texture", func(p plane) { p.put(texture(5, 200, 380, 22, 7), 10, 10) }, even(1)},
		{"noise in the shadows", func(p plane) {
			p.put(planeOf(220, 380, func(x, y int) float64 { return 25 }), 370, 10)
			p.put(texture(9, subject.Dx(), subject.Dy(), 130, 25), subject.Min.X, subject.Min.Y)
		}, func(v float64) float64 { return max(9-v/10, 1) }},
		{"much noise", func(p plane) {}, even(8)},
	} {
		p := scene()
		p.put(texture(9, subject.Dx(), subject.Dy(), 130, 25), subject.Min.X, subject.Min.Y)
		c.draw(p)
		if at, score := found(p.image(c.noise, random)); !at.In(subject.Inset(-TileEdge / 2)) {
			t.Errorf("%s: found %v with %.3f, the subject is at %v", c.name, at, score, subject)
		}
	}
}

// Of two equal parts the one nearer to the middle.
func TestSharpestFavoursTheMiddle(t *testing.T) {
	p := planeOf(600, 400, func(x, y int) float64 { return 120 })
	part := texture(4, 64, 64, 120, 20)
	p.put(part, 20, 20)
	p.put(part, 280, 170)
	p.put(part, 500, 300)
	if at, _ := found(p.image(even(1), rand.New(rand.NewPCG(1, 1)))); !at.In(image.Rect(270, 160, 354, 244)) {
		t.Errorf("found %v", at)
	}
}

// Noise is no structure: nothing scores what a soft photo scores.
func TestSharpestOfNoise(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 3))
	flat := planeOf(600, 400, func(x, y int) float64 { return 40 + float64(x)/4 })
	for _, c := range []struct {
		name  string
		noise func(float64) float64
	}{{"even", even(3)}, {"strong", even(15)}, {"more in the dark", func(v float64) float64 { return max(12-v/12, 1) }}} {
		if at, score := found(flat.image(c.noise, random)); score > 0.01 {
			t.Errorf("%s: %.4f at %v", c.name, score, at)
		}
	}
	if at, score := found(flat.image(even(0), random)); score > 0.001 {
		t.Errorf("a gradient: %.4f at %v", score, at)
	}
}

// The spots are spread: every region that has structure has one.
func TestSharpestIsSpread(t *testing.T) {
	m := texture(8, 800, 400, 120, 30).image(even(0), rand.New(rand.NewPCG(1, 1)))
	var seen [4][4]bool
	spots := Sharpest(m, 18)
	for i, s := range spots {
		seen[s.At.Y/100][s.At.X/200] = true
		for _, o := range spots[:i] {
			if s.overlaps(o) {
				t.Errorf("%v and %v", s.Rectangle, o.Rectangle)
			}
			if o.Score < s.Score {
				t.Error("not in order")
			}
		}
		if !s.At.In(s.Rectangle) || !s.In(image.Rect(0, 0, 800, 400)) || s.Score > 1 {
			t.Errorf("%+v", s)
		}
	}
	for y := range seen {
		for x := range seen[y] {
			if !seen[y][x] {
				t.Errorf("nothing in region %d,%d", x, y)
			}
		}
	}
	if len(spots) != 18 {
		t.Errorf("%d spots", len(spots))
	}
}

// The edge of what is missing is no structure, and what is too small has none.
func TestSharpestOfParts(t *testing.T) {
	m := planeOf(300, 300, func(x, y int) float64 { return 90 }).image(even(1), rand.New(rand.NewPCG(1, 1)))
	for i := range m.Y[200*300:] {
		m.Y[200*300+i] = 128
	}
	if _, score := found(m); score < 0.01 {
		t.Errorf("an edge in a whole picture scores %.3f", score)
	}
	m.Truncated, m.Rows = true, 200
	if at, score := found(m); score > 0.01 {
		t.Errorf("the edge of missing rows scores %.3f at %v", score, at)
	}
	for _, size := range [][2]int{{1, 1}, {15, 300}, {300, 23}, {40, 40}, {47, 48}, {48, 48}} {
		spots := Sharpest(noise(size[0], size[1], 1, 1, true, 1), 5)
		if size[0] < 48 && len(spots) != 0 {
			t.Errorf("%v: %+v", size, spots)
		}
	}
	m.Rows = 0
	if Sharpest(m, 5) != nil || Sharpest(&jpeg.Image{}, 5) != nil || Sharpest(nil, 5) != nil {
		t.Error("spots of nothing")
	}
}

// The same part sharp, soft and softer: Compare puts them in order, whatever the
// exposure.
func TestCompare(t *testing.T) {
	sharp := texture(6, 128, 128, 120, 25)
	random := rand.New(rand.NewPCG(5, 5))
	for _, gain := range []float64{0.5, 1, 1.6} {
		var parts []*jpeg.Image
		for _, sigma := range []float64{2.5, 0.05, 1.2} {
			p := sharp.blurred(sigma)
			for i := range p.v {
				p.v[i] = 120 + (p.v[i]-120)*gain
			}
			parts = append(parts, p.image(even(2), random))
		}
		s := Compare(append(parts, &jpeg.Image{}))
		if s[1].Score <= s[2].Score || s[2].Score <= s[0].Score || s[3].Score != 0 {
			t.Errorf("contrast %v: sharp %.3f, soft %.3f, softer %.3f", gain, s[1].Score, s[2].Score, s[0].Score)
		}
	}
}
