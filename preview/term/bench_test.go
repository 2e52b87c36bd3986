package term

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
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

// BenchmarkPaint paints pictures that nobody has prepared.
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
		{"quadrants/24bit", base, Quadrants, PainterOptions{}},
		{"quadrants/256", base, Quadrants, PainterOptions{Colors256: true}},
		{"sixel", base, Sixel, PainterOptions{}},
		{"inline", base, Inline, PainterOptions{}},
	} {
		for _, size := range [][2]int{{1500, 1000}, {1620, 1080}, {1920, 1280}} {
			b.Run(fmt.Sprintf("%s/%dx%d", bb.name, size[0], size[1]), func(b *testing.B) {
				p := NewPainter(bb.c, bb.m, bb.o)
				defer p.Close()
				area := area
				if !bb.m.Pixels() {
					area.Rows = 52
				}
				m := photoLike(size[0], size[1])
				n := 0
				b.ReportAllocs()
				for b.Loop() {
					another := *m
					n = len(p.Paint(&another, area, Look{}))
				}
				b.ReportMetric(float64(n), "bytes")
			})
		}
	}
}

// BenchmarkPaintAhead goes through pictures that are in the terminal's store.
func BenchmarkPaintAhead(b *testing.B) {
	area := Area{0, 0, 160, 50}
	for _, mode := range []Mode{Kitty, KittyCells} {
		b.Run(mode.String(), func(b *testing.B) {
			made := make(chan struct{}, 1)
			p := NewPainter(Caps{Kitty: true, Placeholders: true, SharedMemory: true, CellWidth: 10, CellHeight: 20}, mode,
				PainterOptions{Ready: func() {
					select {
					case made <- struct{}{}:
					default:
					}
				}})
			defer p.Close()
			p.files.shmDir = b.TempDir()
			var pictures []Piece
			for range 8 {
				pictures = append(pictures, Piece{Picture: photoLike(1620, 1080), Area: area})
			}
			p.Want(pictures)
			for n := 0; n < len(pictures); {
				<-made
				for p.Ahead() != nil {
					n++
				}
			}
			i, n := 0, 0
			b.ReportAllocs()
			for b.Loop() {
				n = len(p.Paint(pictures[i%len(pictures)].Picture, area, Look{}))
				i++
			}
			b.ReportMetric(float64(n), "bytes")
			if p.ahead.open != nil || n > 50_000 {
				b.Errorf("%d bytes", n)
			}
		})
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

func BenchmarkPixels(b *testing.B) {
	m := photoLike(1500, 1000)
	big := photoLike(1620, 1080)
	l := layout{cols: 150, rows: 50, w: 1500, h: 1000, pw: 1500, ph: 1000}
	var e easel
	b.Run("rgba", func(b *testing.B) {
		for b.Loop() {
			e.rgba(m, l, Look{})
		}
	})
	b.Run("resize", func(b *testing.B) {
		for b.Loop() {
			pix.ResizeInto(&e.scaled, big, 1500, 1000)
		}
	})
	b.Run("write", func(b *testing.B) {
		pix := e.rgba(m, l, Look{})
		for b.Loop() {
			name, err := writeShared(sharedDir, pix)
			if err != nil {
				b.Fatal(err)
			}
			b.StopTimer()
			_ = os.Remove(name)
			b.StartTimer()
		}
	})
}
