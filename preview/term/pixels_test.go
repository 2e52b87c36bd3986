package term

import (
	"bytes"
	"fmt"
	"image/color"
	"image/png"
	"math/rand/v2"
	"testing"

	"garner/preview/jpeg"
)

// JFIF 1.02 gives the conversion; image/color has it independently.
func TestColoursOfPixels(t *testing.T) {
	tab := newTables(Look{})
	for y := 0; y < 256; y += 3 {
		for cb := 0; cb < 256; cb += 5 {
			for cr := 0; cr < 256; cr += 5 {
				var got [4]byte
				tab.colour(got[:], []byte{byte(y)}, []byte{byte(cb)}, []byte{byte(cr)}, 1)
				r, g, b := color.YCbCrToRGB(byte(y), byte(cb), byte(cr))
				if abs(int(got[0])-int(r)) > 1 || abs(int(got[1])-int(g)) > 1 || abs(int(got[2])-int(b)) > 1 || got[3] != 255 {
					t.Fatalf("%d %d %d: %v, want %d %d %d", y, cb, cr, got, r, g, b)
				}
			}
		}
	}
}

// Every subsampling, and odd sizes, at the scale of one: each pixel with the
// chroma that belongs to it.
func TestPixelsOfEverySubsampling(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for _, sub := range [][2]int{{1, 1}, {2, 1}, {2, 2}, {1, 2}, {4, 1}, {4, 4}, {0, 0}} {
		for _, size := range [][2]int{{13, 7}, {16, 8}, {1, 1}, {20, 5 * minBand}} {
			t.Run(fmt.Sprint(sub, size), func(t *testing.T) {
				m := &jpeg.Image{}
				m.Reset(size[0], size[1], sub[0], sub[1], sub[0] == 0)
				for _, p := range [][]byte{m.Y, m.Cb, m.Cr} {
					for i := range p {
						p[i] = byte(rnd.Uint32())
					}
				}
				e := easel{cores: 3}
				at := layout{w: size[0] + 3, h: size[1] + 2, x: 2, y: 1, pw: size[0], ph: size[1]}
				got := e.rgba(m, at, Look{})
				src := m.Std()
				for y := range at.h {
					for x := range at.w {
						o := got[(y*at.w+x)*4:][:4]
						if x < 2 || y < 1 || x >= 2+at.pw || y >= 1+at.ph {
							if !bytes.Equal(o, make([]byte, 4)) {
								t.Fatalf("%v beside the picture", o)
							}
							continue
						}
						want := color.NRGBAModel.Convert(src.At(x-2, y-1)).(color.NRGBA)
						if abs(int(o[0])-int(want.R)) > 1 || abs(int(o[1])-int(want.G)) > 1 || abs(int(o[2])-int(want.B)) > 1 || o[3] != 255 {
							t.Fatalf("at %d,%d %v, want %v", x, y, o, want)
						}
					}
				}
			})
		}
	}
}

// What is packed is unpacked by image/png bit for bit, also a second time.
func TestPack(t *testing.T) {
	var p packer
	rnd := rand.New(rand.NewPCG(5, 6))
	for _, size := range [][2]int{{1, 1}, {7, 5}, {300, 200}, {2, 90}} {
		for _, alpha := range []bool{false, true} {
			w, h := size[0], size[1]
			pix := make([]byte, w*h*4)
			for i := range pix {
				pix[i] = byte(rnd.Uint32N(256))
				if i%4 == 3 && !alpha {
					pix[i] = 255
				}
			}
			m, err := png.Decode(bytes.NewReader(p.pack(pix, w, h, alpha)))
			if err != nil || m.Bounds().Dx() != w || m.Bounds().Dy() != h {
				t.Fatalf("%v alpha %v: %v", size, alpha, err)
			}
			for y := range h {
				for x := range w {
					c := color.NRGBAModel.Convert(m.At(x, y)).(color.NRGBA)
					if got := []byte{c.R, c.G, c.B, c.A}; !bytes.Equal(got, pix[(y*w+x)*4:][:4]) {
						t.Fatalf("%v alpha %v at %d,%d: %v", size, alpha, x, y, got)
					}
				}
			}
		}
	}
}

// The nearest colour is the nearest of all 240, but for what falls together
// under five bits a channel.
func TestPaletteFindsTheNearest(t *testing.T) {
	p := newPalette()
	for r := int32(4); r < 256; r += 8 {
		for g := int32(4); g < 256; g += 8 {
			for b := int32(4); b < 256; b += 8 {
				got, best := p.search(r, g, b), uint8(16)
				for c := 17; c < 256; c++ {
					if p.distance(r, g, b, uint8(c)) < p.distance(r, g, b, best) {
						best = uint8(c)
					}
				}
				if d, want := p.distance(r, g, b, got), p.distance(r, g, b, best); d != want {
					t.Fatalf("%d %d %d: colour %d at %d, nearest %d at %d", r, g, b, got, d, best, want)
				}
			}
		}
	}
}

// Shades between two colours of the palette come out right on average.
func TestQuantiseKeepsTheShade(t *testing.T) {
	p := newPalette()
	const n = 64
	for _, want := range [][3]byte{{0, 0, 0}, {255, 255, 255}, {200, 150, 120}, {90, 110, 180}, {30, 30, 34}, {128, 128, 128}} {
		pix := make([]byte, n*n*4)
		for i := range n * n {
			copy(pix[4*i:], want[:])
		}
		var sum [3]int
		var d dither
		for _, c := range d.quantise(p, pix, n, n) {
			if c < 16 {
				t.Fatalf("colour %d belongs to the user", c)
			}
			for k := range sum {
				sum[k] += int(p.rgb[c][k])
			}
		}
		for k := range sum {
			if got := sum[k] / (n * n); abs(got-int(want[k])) > 12 {
				t.Errorf("%v: channel %d is %d on average", want, k, got)
			}
		}
	}
}
