package term

import (
	"fmt"
	"io"
	"math/rand/v2"
	"testing"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// photoLike is smooth shapes with noise on them, about as hard to pack as a
// photograph.
func photoLike(w, h int) *jpeg.Image {
	small := &jpeg.Image{}
	small.Reset(w/20, h/20, 2, 2, false)
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, plane := range [][]byte{small.Y, small.Cb, small.Cr} {
		for i := range plane {
			plane[i] = byte(64 + rnd.IntN(128))
		}
	}
	m := pix.Resize(small, w, h)
	for i := range m.Y {
		m.Y[i] += byte(rnd.IntN(5))
	}
	return m
}

func BenchmarkPaint(b *testing.B) {
	area := Area{0, 0, 160, 50} // 1600x1000 pixels
	base := Caps{Kitty: true, Placeholders: true, CellWidth: 10, CellHeight: 20, TrueColor: true}
	with := func(f func(*Caps)) Caps { c := base; f(&c); return c }
	shared := with(func(c *Caps) { c.SharedMemory = true })
	for _, bb := range []struct {
		name string
		c    Caps
		m    Mode
		o    PainterOptions
	}{
		{"kitty/shared", shared, Kitty, PainterOptions{}},
		{"kitty/temp", with(func(c *Caps) { c.TempFile = true }), Kitty, PainterOptions{}},
		{"kitty/direct", base, Kitty, PainterOptions{}},
		{"cells/shared", shared, KittyCells, PainterOptions{}},
		{"cells/tmux", with(func(c *Caps) { c.SharedMemory, c.Tmux = true, true }), KittyCells, PainterOptions{}},
		{"cells/tmux-direct", with(func(c *Caps) { c.Tmux = true }), KittyCells, PainterOptions{}},
		{"blocks/24bit", base, Blocks, PainterOptions{}},
		{"blocks/256", base, Blocks, PainterOptions{Colors256: true}},
	} {
		for _, size := range [][2]int{{1500, 1000}, {1920, 1280}} {
			b.Run(fmt.Sprintf("%s/%dx%d", bb.name, size[0], size[1]), func(b *testing.B) {
				p := NewPainter(bb.c, bb.m, bb.o)
				defer p.Close()
				area := area
				if bb.m == Blocks {
					area.Rows = 52
				}
				m := photoLike(size[0], size[1])
				n := 0
				b.ReportAllocs()
				for b.Loop() {
					n = len(p.Paint(m, area, Look{}))
				}
				b.ReportMetric(float64(n), "bytes")
			})
		}
	}
}

func BenchmarkDecoder(b *testing.B) {
	in := []byte("\x1b[107;1:2;107u\x1b[0n")
	var d Decoder
	b.ReportAllocs()
	for b.Loop() {
		d.Feed(in, t0)
	}
}

func BenchmarkScreenWrite(b *testing.B) {
	s := NewScreen(io.Discard, ScreenOptions{})
	defer s.Close()
	frame := make([]byte, 8000)
	b.ReportAllocs()
	for b.Loop() {
		_, _ = s.Write(frame)
	}
}
