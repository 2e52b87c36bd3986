package resample

import (
	"errors"
	"image"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
)

// picture is linear light of w by h pixels.
type picture struct {
	w, h int
	v    []float32
}

func newPicture(w, h int, value func(x, y, c int) float64) picture {
	p := picture{w, h, make([]float32, w*h*channels)}
	for i := range p.v {
		p.v[i] = float32(value(i/channels%w, i/channels/w, i%channels))
	}
	return p
}

func (p picture) row(y int) []float32 { return p.v[y*p.w*channels:][:p.w*channels] }

func (p picture) part(r image.Rectangle) picture {
	return newPicture(r.Dx(), r.Dy(), func(x, y, c int) float64 {
		return float64(p.row(y + r.Min.Y)[(x+r.Min.X)*channels+c])
	})
}

// gather is a sink that keeps the rows.
func (p *picture) gather(t testing.TB) Sink {
	return func(y int, row []float32) error {
		if y*p.w*channels != len(p.v) || len(row) != p.w*channels {
			t.Fatalf("row %d of %d values after %d", y, len(row), len(p.v))
		}
		p.v = append(p.v, row...)
		return nil
	}
}

type want struct {
	crop image.Rectangle
	w, h int
}

// resample feeds a picture to as many resamplers at once.
func resample(t testing.TB, p picture, wants ...want) []picture {
	t.Helper()
	out := make([]picture, len(wants))
	var rs []*Resampler
	for i, w := range wants {
		out[i] = picture{w: w.w, h: w.h}
		r, err := New(w.crop, w.w, w.h, out[i].gather(t))
		if err != nil {
			t.Fatal(err)
		}
		rs = append(rs, r)
	}
	f, err := NewFeed(p.w, p.h, rs...)
	if err != nil {
		t.Fatal(err)
	}
	for y := range p.h {
		if err := f.Push(p.row(y)); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	for i, o := range out {
		if len(o.v) != o.w*o.h*channels {
			t.Fatalf("%v: %d values came", wants[i], len(o.v))
		}
	}
	return out
}

func whole1(p picture, w, h int) want { return want{image.Rect(0, 0, p.w, p.h), w, h} }

// slow is the definition, in float64 and without any taps laid out: every sample of
// the source with the kernel's value at its distance, the edges going on for ever.
func slow(p picture, w, h int) []float64 {
	line := func(n, to int, at func(i int) float64, out func(i int, v float64)) {
		scale := float64(n) / float64(to)
		for i := range to {
			centre, stretch := (float64(i)+0.5)*scale-0.5, max(scale, 1)
			if n == to {
				out(i, at(i))
				continue
			}
			sum, weights := 0.0, 0.0
			for k := int(centre - 3*stretch - 2); k < int(centre+3*stretch+2); k++ {
				x := math.Abs(float64(k)-centre) / stretch
				l := 1.0
				if x > 0 {
					l = math.Sin(math.Pi*x) / (math.Pi * x) * math.Sin(math.Pi*x/3) / (math.Pi * x / 3)
				}
				if x < 3 {
					sum, weights = sum+l*at(min(max(k, 0), n-1)), weights+l
				}
			}
			out(i, sum/weights)
		}
	}
	mid, out := make([]float64, w*p.h*channels), make([]float64, w*h*channels)
	for c := range channels {
		for y := range p.h {
			line(p.w, w, func(i int) float64 { return float64(p.row(y)[i*channels+c]) }, func(i int, v float64) { mid[(y*w+i)*channels+c] = v })
		}
		for x := range w {
			line(p.h, h, func(i int) float64 { return mid[(i*w+x)*channels+c] }, func(i int, v float64) { out[(i*w+x)*channels+c] = v })
		}
	}
	return out
}

func sameAs(t *testing.T, what any, got picture, want []float64) {
	t.Helper()
	for i, v := range want {
		if !(math.Abs(float64(got.v[i])-v) < 1e-5) {
			t.Fatalf("%v: value %d of row %d is %g, not %g", what, i%(got.w*channels), i/(got.w*channels), got.v[i], v)
		}
	}
}

// Sizes of all kinds, several sets and parts at once, are what the definition says.
func TestAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 8))
	value := func(x, y, c int) float64 { return r.Float64() }
	for _, size := range []image.Point{{1, 1}, {2, 1}, {1, 9}, {7, 8}, {64, 17}, {300, 40}, {256, 3}, {531, 9}} {
		p := newPicture(size.X, size.Y, value)
		wants := []want{whole1(p, p.w, p.h), whole1(p, 1, 1), whole1(p, p.w+3, p.h), whole1(p, p.w, p.h+5), whole1(p, (p.w+1)/2, (p.h+2)/3), whole1(p, 2*p.w+1, 3*p.h)}
		for range 4 {
			x, y := r.IntN(p.w), r.IntN(p.h)
			crop := image.Rect(x, y, x+1+r.IntN(p.w-x), y+1+r.IntN(p.h-y))
			wants = append(wants, want{crop, 1 + r.IntN(2*p.w), 1 + r.IntN(2*p.h)}, want{crop, crop.Dx(), crop.Dy()})
		}
		for i, got := range resample(t, p, wants...) {
			sameAs(t, wants[i], got, slow(p.part(wants[i].crop), got.w, got.h))
			// Alone, a set comes out in the same bits: who else is fed does not matter.
			if alone := resample(t, p, wants[i])[0]; !slices.Equal(alone.v, got.v) {
				t.Fatalf("%v: alone it comes out otherwise", wants[i])
			}
		}
	}
}

func codes(p picture) []byte {
	out := make([]byte, len(p.v))
	SRGB().Bytes(out, p.v)
	return out
}

func light(code float64) float64 {
	v := code / 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// Black and white pixels in turn are half of the light: 188 and not 127 (IEC
// 61966-2-1: 0.5 encodes to 187.5). Near the edges, where a pattern that begins
// within the filter's reach goes on as its edge does, it is the light that has to be
// right as a whole.
func TestHalvedInLinearLight(t *testing.T) {
	for name, on := range map[string]func(x, y int) bool{
		"checkerboard": func(x, y int) bool { return (x+y)%2 == 0 },
		"columns":      func(x, y int) bool { return x%2 == 0 },
		"rows":         func(x, y int) bool { return y%2 == 1 },
	} {
		p := newPicture(128, 96, func(x, y, c int) float64 {
			if on(x, y) {
				return 1
			}
			return 0
		})
		half := resample(t, p, whole1(p, 64, 48))[0]
		inside := half.part(image.Rect(3, 3, 61, 45))
		for i, v := range codes(inside) {
			if v != 188 {
				t.Fatalf("%s: pixel %d is %d, not 188", name, i/channels, v)
			}
		}
		sum := 0.0
		for _, v := range half.v {
			sum += float64(v)
		}
		if mean := sum / float64(len(half.v)); math.Abs(mean-0.5) > 1e-6 {
			t.Errorf("%s: the mean of the light is %g", name, mean)
		}
	}
}

// The mean of the codes 64 and 192 is 146 in linear light (146.41).
func TestMeanOfTwoCodes(t *testing.T) {
	p := newPicture(64, 64, func(x, y, c int) float64 { return light(64 + 128*float64((x+y)%2)) })
	for i, v := range codes(resample(t, p, whole1(p, 32, 32))[0].part(image.Rect(3, 3, 29, 29))) {
		if v != 146 {
			t.Fatalf("pixel %d is %d, not 146", i/channels, v)
		}
	}
}

// Whatever has one code keeps it at any size, 0, 1, 254 and 255 included.
func TestConstants(t *testing.T) {
	for code := range 256 {
		if testing.Short() && code > 3 && code < 252 {
			continue
		}
		p := newPicture(61, 23, func(x, y, c int) float64 { return light(float64(code)) })
		sizes := []want{whole1(p, 61, 23), whole1(p, 1, 1), whole1(p, 31, 12), whole1(p, 60, 22), whole1(p, 70, 31), {image.Rect(3, 5, 40, 19), 11, 9}}
		for i, got := range resample(t, p, sizes...) {
			for _, v := range codes(got) {
				if v != byte(code) {
					t.Fatalf("%v: %d becomes %d", sizes[i], code, v)
				}
			}
		}
	}
}

// What is not finite spoils what is made of it or stands beside it, in its row, and no
// more.
func TestNotFinite(t *testing.T) {
	const w, to = 200, 58 // 21 taps, so that there is one of weight 0
	for at := range w {
		p := newPicture(w, 24, func(x, y, c int) float64 { return 0.5 })
		p.row(5)[at*channels+1] = float32(math.NaN())
		got := resample(t, p, whole1(p, to, 24))[0]
		for y := range 24 {
			for x := range to {
				v := float64(got.row(y)[x*channels+1])
				far := math.Abs((float64(x)+0.5)*w/to-0.5-float64(at)) > 22
				if (far || y != 5) && !(math.Abs(v-0.5) < 1e-6) {
					t.Fatalf("no number in column %d: %g in column %d of row %d", at, v, x, y)
				}
			}
		}
	}
}

func TestFeedErrors(t *testing.T) {
	nothing := func(int, []float32) error { return nil }
	for _, c := range []want{{image.Rect(0, 0, 0, 5), 1, 1}, {image.Rect(0, 0, 5, 5), 0, 1}, {image.Rect(0, 0, 5, 5), 1, -1}, {image.Rect(0, 0, 5, 5), MaxEdge + 1, 1},
		{image.Rect(0, 0, 5, 5), MaxEdge, MaxEdge}, {image.Rect(0, 0, 10, MaxEdge), MaxEdge, 1}} {
		if _, err := New(c.crop, c.w, c.h, nothing); err == nil {
			t.Errorf("%v: no error", c)
		}
	}
	if _, err := NewFeed(0, 5); err == nil {
		t.Error("a feed of no columns")
	}
	r, err := New(image.Rect(0, 0, 6, 5), 2, 2, nothing)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := NewFeed(5, 5, r); err == nil {
		t.Error("a part that is not in the picture")
	}
	f, err := NewFeed(6, 5, r)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Push(make([]float32, 17)); err == nil {
		t.Error("a row too short")
	}
	r, _ = New(image.Rect(0, 0, 6, 5), 2, 2, nothing)
	f, _ = NewFeed(6, 5, r)
	for range 5 {
		if err := f.Done(); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Done(); !errors.Is(err, ErrRows) {
		t.Errorf("a row too many: %v", err)
	}
	if _, err := NewFeed(6, 5, r); err == nil {
		t.Error("a resampler for two pictures")
	}
	r, _ = New(image.Rect(0, 0, 6, 5), 2, 2, nothing)
	f, _ = NewFeed(6, 5, r)
	f.Done()
	if err := f.Close(); !errors.Is(err, ErrRows) {
		t.Errorf("four rows too few: %v", err)
	}
	full := errors.New("full")
	for _, w := range []int{2, 6} {
		r, _ = New(image.Rect(0, 0, 6, 5), w, 5, func(y int, row []float32) error {
			if y == 1 {
				return full
			}
			return nil
		})
		f, _ = NewFeed(6, 5, r)
		for range 4 {
			f.Done()
		}
		if err := f.Done(); err != full {
			t.Errorf("the sink's error became %v", err)
		}
		if err := f.Close(); err != full {
			t.Errorf("the sink's error became %v at the end", err)
		}
	}
}

// The memory of 24 MP is rows: three sets at once take less than 4 MB, and no row
// takes any more.
func TestMemory(t *testing.T) {
	const w, h = 6000, 4000
	nothing := func(int, []float32) error { return nil }
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	var rs []*Resampler
	for _, s := range []image.Point{{2048, 1365}, {3240, 2160}, {6000, 4000}} {
		r, err := New(image.Rect(0, 0, w, h), s.X, s.Y, nothing)
		if err != nil {
			t.Fatal(err)
		}
		rs = append(rs, r)
	}
	f, err := NewFeed(w, h, rs...)
	if err != nil {
		t.Fatal(err)
	}
	runtime.ReadMemStats(&after)
	if n := after.TotalAlloc - before.TotalAlloc; n > 4<<20 {
		t.Errorf("%d bytes", n)
	}
	if n := testing.AllocsPerRun(10, func() {
		for range 24 {
			if err := f.Done(); err != nil {
				t.Fatal(err)
			}
		}
	}); n != 0 {
		t.Errorf("%g allocations for 24 rows", n)
	}
}
