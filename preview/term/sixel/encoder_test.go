package sixel

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// picture makes a picture of what f says of each pixel.
func picture(w, h int, f func(x, y int) color.NRGBA) Picture {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetNRGBA(x, y, f(x, y))
		}
	}
	return of(m.Pix, w, h)
}

func of(pix []byte, w, h int) Picture { return Picture{Pix: pix, Width: w, Height: h, Stride: w * 4} }

// photoLike is smooth shapes in skin and cloth colours with a little noise.
func photoLike(w, h int, seed uint64) Picture {
	rnd := rand.New(rand.NewPCG(seed, 1))
	at := func(f, g float64) float64 { return math.Sin(f)*math.Cos(g)*0.5 + 0.5 }
	return picture(w, h, func(x, y int) color.NRGBA {
		u, v := float64(x)/float64(w)*9, float64(y)/float64(h)*7
		n := rnd.Float64() * 6
		return color.NRGBA{
			uint8(30 + 200*at(u, v) + n), uint8(20 + 160*at(u*1.3+1, v*0.8) + n), uint8(20 + 150*at(u*0.7+2, v*1.5+1) + n), 255,
		}
	})
}

func drawn(t testing.TB, p Picture, o Options) *image.NRGBA {
	t.Helper()
	var e Encoder
	m, err := decode(e.Append(nil, p, o))
	if err != nil {
		t.Fatal(err)
	}
	if m.Rect.Dx() != p.Left+p.Width || m.Rect.Dy() != p.Top+p.Height {
		t.Fatalf("%v drawn for %dx%d pixels after %d,%d", m.Rect, p.Width, p.Height, p.Left, p.Top)
	}
	return m
}

// covers checks that each pixel of the picture is drawn and no other.
func covers(t testing.TB, m *image.NRGBA, p Picture) {
	t.Helper()
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			want := x >= p.Left && y >= p.Top && !(p.Holes && p.Pix[(y-p.Top)*p.Stride+(x-p.Left)*4+3] == 0)
			if got := m.NRGBAAt(x, y).A == 255; got != want {
				t.Fatalf("pixel %d,%d drawn: %v", x, y, got)
			}
		}
	}
}

// psnr is the likeness of the channels and of luma, in dB.
func psnr(m *image.NRGBA, p Picture) (rgb, luma float64) {
	for y := range p.Height {
		for x := range p.Width {
			a, b := m.Pix[m.PixOffset(x+p.Left, y+p.Top):], p.Pix[y*p.Stride+x*4:]
			if p.Holes && b[3] == 0 {
				continue
			}
			var d [3]float64
			for k := range d {
				d[k] = float64(a[k]) - float64(b[k])
				rgb += d[k] * d[k] / 3
			}
			v := 0.299*d[0] + 0.587*d[1] + 0.114*d[2]
			luma += v * v
		}
	}
	n := 255 * 255 * float64(p.Width*p.Height)
	return 10 * math.Log10(n/rgb), 10 * math.Log10(n/luma)
}

var (
	black = color.NRGBA{0, 0, 0, 255}
	white = color.NRGBA{255, 255, 255, 255}
	red   = color.NRGBA{255, 0, 0, 255}
)

func TestBytes(t *testing.T) {
	const begin, end = "\x1bP9;1q\"1;1;", "\x1b\\"
	tests := []struct {
		name string
		p    Picture
		want string
	}{
		{"one pixel", picture(1, 1, func(x, y int) color.NRGBA { return red }),
			"1;1#0;2;100;0;0#0@"},
		{"one colour is said once a band", picture(20, 13, func(x, y int) color.NRGBA { return white }),
			"20;13#0;2;100;100;100#0!20~-#0!20~-#0!20@"},
		{"the common colour lies under the others", picture(9, 6, func(x, y int) color.NRGBA {
			if y < 2 && x%4 == 2 {
				return black
			}
			return white
		}), "9;6#0;2;100;100;100#1;2;0;0;0#0!9~$#1??B???B"},
		{"runs and gaps", picture(12, 6, func(x, y int) color.NRGBA {
			if x >= 5 && x < 9 && y == 3 {
				return black
			}
			return white
		}), "12;6#0;2;100;100;100#1;2;0;0;0#0!12~$#1!5?!4G"},
		{"inside of a cell", func() Picture {
			p := picture(4, 5, func(x, y int) color.NRGBA { return red })
			p.Left, p.Top = 3, 8
			return p
		}(), "7;13#0;2;100;0;0-#0???!4{-#0???!4@"},
		{"holes", func() Picture {
			p := picture(6, 14, func(x, y int) color.NRGBA {
				if y >= 6 || x == 2 {
					return color.NRGBA{}
				}
				return red
			})
			p.Holes = true
			return p
		}(), "6;14#0;2;100;0;0#0~~?~~~"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var e Encoder
			if got, want := string(e.Append(nil, tt.p, Options{})), begin+tt.want+end; got != want {
				t.Errorf("got  %q\nwant %q", got, want)
			}
		})
	}
}

// Colours that there are registers for come back as they were, wherever they are.
func TestFewColoursAreExact(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 2))
	for range 300 {
		n := 1 + rnd.IntN(40)
		colours := make([]color.NRGBA, n)
		for i := range colours { // whole percentages, no two in one place of the table
			level := func(k int) uint8 { return uint8((k*10*255 + 50) / 100) }
			colours[i] = color.NRGBA{level(i % 11), level(i / 11 % 11), level(rnd.IntN(11)), 255}
		}
		w, h := 1+rnd.IntN(70), 1+rnd.IntN(50)
		run, c := 0, colours[0]
		p := picture(w, h, func(x, y int) color.NRGBA {
			if run--; run < 0 {
				run, c = rnd.IntN(1+rnd.IntN(30)), colours[rnd.IntN(n)]
			}
			return c
		})
		p.Left, p.Top = rnd.IntN(20), rnd.IntN(20)
		if p.Holes = rnd.IntN(2) == 0; p.Holes {
			x, y := rnd.IntN(w), rnd.IntN(h)
			for i := 3; i < len(p.Pix); i += 4 {
				if i/4%w >= x && i/4/w >= y || rnd.IntN(9) == 0 {
					p.Pix[i] = 0
				}
			}
		}
		m := drawn(t, p, Options{Colours: max(n, 2)})
		covers(t, m, p)
		if rgb, _ := psnr(m, p); !math.IsInf(rgb, 1) {
			t.Fatalf("%d colours, %dx%d pixels after %d,%d: %.1f dB", n, w, h, p.Left, p.Top, rgb)
		}
	}
}

func TestLikeness(t *testing.T) {
	p := photoLike(640, 400, 1)
	for _, tt := range []struct {
		colours   int
		flat      bool
		rgb, luma float64
	}{
		{16, true, 22, 28.5}, {16, false, 21.5, 28},
		{256, true, 31.5, 36.5}, {256, false, 31, 36},
		{1024, true, 35.5, 41}, {1024, false, 35, 40.5},
	} {
		var e Encoder
		b := e.Append(nil, p, Options{Colours: tt.colours, Flat: tt.flat})
		m, err := decode(b)
		if err != nil {
			t.Fatal(err)
		}
		covers(t, m, p)
		rgb, luma := psnr(m, p)
		t.Logf("%d colours, flat %v, noise %d: %.1f dB, luma %.1f dB, %d bytes", tt.colours, tt.flat, e.noise.spread, rgb, luma, len(b))
		if rgb < tt.rgb || luma < tt.luma {
			t.Errorf("%d colours, flat %v: %.1f dB, luma %.1f dB, want %.0f and %.0f", tt.colours, tt.flat, rgb, luma, tt.rgb, tt.luma)
		}
		if n := strings.Count(string(b), ";2;"); n > tt.colours {
			t.Errorf("%d of %d colours", n, tt.colours)
		}
	}
}

// What noise is for: without it a slope of more shades than there are colours
// becomes steps, with it the mean of some pixels stays what it was. It does not
// change the brightness by as much as the colours.
func TestNoiseSmooths(t *testing.T) {
	p := picture(512, 128, func(x, y int) color.NRGBA {
		return color.NRGBA{uint8(80 + x/4), uint8(60 + x/5), uint8(40 + y), 255}
	})
	off := func(m *image.NRGBA) float64 { // of the means of 8 by 8 pixels
		sum := 0.0
		for y := 0; y < p.Height; y += 8 {
			for x := 0; x < p.Width; x += 8 {
				var d [3]int
				for i := range 64 {
					a, b := m.Pix[m.PixOffset(x+i%8, y+i/8):], p.Pix[(y+i/8)*p.Stride+(x+i%8)*4:]
					for k := range d {
						d[k] += int(a[k]) - int(b[k])
					}
				}
				for _, v := range d {
					sum += math.Pow(float64(v)/64, 2)
				}
			}
		}
		return math.Sqrt(sum / float64(p.Width*p.Height/64*3))
	}
	flat, noisy := off(drawn(t, p, Options{Colours: 64, Flat: true})), off(drawn(t, p, Options{Colours: 64}))
	t.Logf("areas are %.2f off without, %.2f with noise", flat, noisy)
	if noisy > flat*0.9 {
		t.Errorf("areas are %.2f off without, %.2f with noise", flat, noisy)
	}
}

// Noise is even: nothing becomes brighter or darker by it.
func TestNoiseIsEven(t *testing.T) {
	for _, spread := range []int{0, 1, 2, 7, maxSpread} {
		var n noise
		n.set(maxSpread) // what was before must not stay
		n.set(spread)
		var sum [3]int
		for _, row := range n.rows {
			for x := range 8 {
				rb, g := row[x/2][0]>>(x%2*32), row[x/2][1]>>(x%2*32)
				for k, v := range []uint64{rb & 0xffff, g & 0xffff, rb >> 16 & 0xffff} {
					if v > uint64(2*spread) {
						t.Fatalf("noise %d of %d", v, 2*spread)
					}
					sum[k] += int(v) - spread
				}
			}
		}
		for k, s := range sum {
			if s != 0 {
				t.Errorf("spread %d: channel %d becomes %d brighter in 64 pixels", spread, k, s)
			}
		}
	}
}

// The nearest colour is found without looking at all of them.
func TestNearest(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 3))
	for range 50 {
		p := &palette{}
		for range 1 + rnd.IntN(300) {
			p.rgb = append(p.rgb, [3]int32{rnd.Int32N(256), rnd.Int32N(256), rnd.Int32N(256)})
		}
		var tab table
		spread := rnd.IntN(maxSpread + 1)
		tab.reset(p, spread, 1)
		for range 500 {
			i := rnd.Uint32N(1 << 18)
			at := func(shift int) int32 { return int32(i>>shift&63)*16 + 7 - 2*int32(spread) }
			far := func(c uint32) int32 {
				q := p.rgb[c]
				e := entry{r: 2 * q[0], g: 2 * q[1], b: 2 * q[2]}
				return e.distance(at(0), at(6), at(12))
			}
			got := far(tab.find(i) - 1)
			for c := range p.rgb {
				if d := far(uint32(c)); d < got {
					t.Fatalf("colour %d is at %d, found was one at %d", c, d, got)
				}
			}
		}
	}
}

// An encoder that has drawn other pictures draws as a new one does, and after
// the first pictures it asks for no memory.
func TestReuse(t *testing.T) {
	var e Encoder
	var buf []byte
	for i, p := range []Picture{photoLike(300, 200, 1), photoLike(80, 333, 2), photoLike(301, 77, 3), photoLike(300, 200, 1)} {
		o := Options{Colours: []int{256, 16, 1024, 256}[i]}
		var fresh Encoder
		buf = e.Append(buf[:0], p, o)
		if !bytes.Equal(buf, fresh.Append(nil, p, o)) {
			t.Errorf("picture %d differs", i)
		}
	}
	p := photoLike(300, 200, 1)
	if n := testing.AllocsPerRun(5, func() { buf = e.Append(buf[:0], p, Options{}) }); n > 1 { // the race detector needs one
		t.Errorf("%v allocations", n)
	}
	if got := e.Append([]byte("before"), p, Options{}); !bytes.HasPrefix(got, []byte("before\x1bP")) {
		t.Errorf("begins with %.20q", got)
	}
}

// A picture in parts has the colours of the whole in all of them.
func TestParts(t *testing.T) {
	p := photoLike(301, 100, 4)
	var e Encoder
	if !e.Choose(p, Options{}) {
		t.Fatal("not valid")
	}
	whole, err := decode(e.Draw(nil, p))
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []image.Rectangle{image.Rect(0, 0, 160, 100), image.Rect(160, 0, 301, 48), image.Rect(160, 48, 301, 100)} {
		part := Picture{Pix: p.Pix[r.Min.Y*p.Stride+r.Min.X*4:], Stride: p.Stride, Width: r.Dx(), Height: r.Dy()}
		m, err := decode(e.Draw(nil, part))
		if err != nil {
			t.Fatal(err)
		}
		covers(t, m, part)
		for y := range r.Dy() { // noise goes by places of eight by eight
			for x := range r.Dx() {
				if got, want := m.NRGBAAt(x, y), whole.NRGBAAt(x+r.Min.X, y+r.Min.Y); r.Min.X%8 == 0 && r.Min.Y%8 == 0 && got != want {
					t.Fatalf("part %v: pixel %d,%d is %v, want %v", r, x, y, got, want)
				}
			}
		}
	}
	if b := new(Encoder).Draw(nil, p); len(b) > 0 {
		t.Errorf("without colours %.20q", b)
	}
}

func TestInvalidDrawsNothing(t *testing.T) {
	good := photoLike(10, 10, 1)
	for name, f := range map[string]func(*Picture){
		"no width":      func(p *Picture) { p.Width = 0 },
		"no height":     func(p *Picture) { p.Height = 0 },
		"negative":      func(p *Picture) { p.Height = -5 },
		"no pixels":     func(p *Picture) { p.Pix = nil },
		"a byte short":  func(p *Picture) { p.Pix = p.Pix[:len(p.Pix)-1] },
		"stride":        func(p *Picture) { p.Stride = 39 },
		"stride of all": func(p *Picture) { p.Stride = math.MaxInt },
		"left":          func(p *Picture) { p.Left = -1 },
		"far left":      func(p *Picture) { p.Left = math.MaxInt },
		"top":           func(p *Picture) { p.Top = MaxEdge + 1 },
		"too wide":      func(p *Picture) { p.Width = MaxEdge + 1 },
	} {
		t.Run(name, func(t *testing.T) {
			p := good
			f(&p)
			var e Encoder
			if b := e.Append(nil, p, Options{}); len(b) > 0 {
				t.Errorf("%.40q", b)
			}
		})
	}
	last := good // the last row need not have the padding of a stride
	last.Height, last.Stride, last.Width = 9, 44, 9
	drawn(t, last, Options{})
}

func FuzzEncoder(f *testing.F) {
	f.Add([]byte("some pixels, some more of them, and the rest"), uint8(4), uint8(0), uint8(0), uint16(0), false, false)
	f.Add(make([]byte, 100), uint8(3), uint8(0), uint8(0), uint16(0), false, true)
	f.Add([]byte{255, 0, 0, 255, 0, 255, 0, 255}, uint8(1), uint8(5), uint8(7), uint16(2), true, true)
	f.Add(bytes.Repeat([]byte{1, 200, 9, 0, 50, 60, 70, 80, 255, 255, 255, 255}, 99), uint8(13), uint8(9), uint8(13), uint16(1024), false, false)
	f.Fuzz(func(t *testing.T, pix []byte, width, left, top uint8, colours uint16, flat, holes bool) {
		w := int(width)
		if w == 0 || len(pix) < w*4 || len(pix) > 1<<16 {
			return
		}
		p := of(pix, w, len(pix)/(w*4))
		p.Left, p.Top, p.Holes = int(left), int(top), holes
		m := drawn(t, p, Options{Colours: int(colours), Flat: flat})
		covers(t, m, p)
	})
}

func BenchmarkEncode(b *testing.B) {
	p := photoLike(1600, 1000, 1)
	for _, colours := range []int{16, 256, 1024} {
		for _, flat := range []bool{true, false} {
			b.Run(fmt.Sprintf("colours=%d/flat=%v", colours, flat), func(b *testing.B) {
				var e Encoder
				var out []byte
				b.ReportAllocs()
				for b.Loop() {
					out = e.Append(out[:0], p, Options{Colours: colours, Flat: flat})
				}
				b.ReportMetric(float64(len(out)), "bytes")
			})
		}
	}
}
