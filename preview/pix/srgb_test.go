package pix

import (
	"image/color"
	"math"
	"testing"

	"garner/preview/icc"
	"garner/preview/jpeg"
)

// Each pixel against the profile's own conversion in floating point: of a picture
// whose chroma has a sample for every pixel, so that nothing is averaged.
func TestToSRGBAgainstTheProfile(t *testing.T) {
	for _, p := range []*icc.Profile{icc.AdobeRGB(), icc.DisplayP3(), icc.SRGB()} {
		m := &jpeg.Image{}
		m.Reset(256, 32*32, 1, 1, false)
		for y := range m.Height {
			for x := range m.Width {
				i := y*m.Width + x
				m.Y[i], m.Cb[i], m.Cr[i] = byte(x), byte(y%32*8+y/32%8), byte(y/32*8+y%8)
			}
		}
		got := clone(m)
		ToSRGB(got, p)
		worst, sum, n := 0, 0, 0
		for i := range m.Y {
			// JFIF 1.02, in floating point and rounded, as any decoder has it.
			l, u, v := float64(m.Y[i]), float64(m.Cb[i])-128, float64(m.Cr[i])-128
			r, g, b := math.Round(l+1.402*v), math.Round(l-0.344136286*u-0.714136286*v), math.Round(l+1.772*u)
			if min(r, g, b) < 0 || max(r, g, b) > 255 {
				continue // no colour of RGB at all
			}
			c := p.Convert([3]uint8{uint8(r), uint8(g), uint8(b)})
			y, cb, cr := color.RGBToYCbCr(c[0], c[1], c[2])
			d := max(far(y, got.Y[i]), far(cb, got.Cb[i]), far(cr, got.Cr[i]))
			worst, sum, n = max(worst, d), sum+d, n+1
		}
		t.Logf("%s: %d colours, at most %d, on average %.3f off", p.Description, n, worst, float64(sum)/float64(n))
		if worst > 2 || float64(sum) > 0.3*float64(n) || n < 50000 {
			t.Errorf("%s: %d colours, at most %d, on average %.3f off", p.Description, n, worst, float64(sum)/float64(n))
		}
	}
}

func far(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }

func clone(m *jpeg.Image) *jpeg.Image {
	c := *m
	c.Y = append([]byte(nil), m.Y...)
	if !m.Grey() {
		c.Cb, c.Cr = append([]byte(nil), m.Cb...), append([]byte(nil), m.Cr...)
	}
	return &c
}

// Subsampled chroma: luma as in the picture without subsampling that shows the
// same colours, chroma the mean of that one's; odd sizes, and planes with room
// between the rows, which must stay untouched.
func TestToSRGBSubsampled(t *testing.T) {
	p := icc.AdobeRGB()
	for _, sub := range [][2]int{{1, 1}, {2, 1}, {2, 2}, {1, 2}, {4, 1}, {4, 2}} {
		for _, size := range [][2]int{{24, 16}, {23, 15}, {1, 1}, {2, 5}, {5, 2}} {
			m := noise(size[0], size[1], sub[0], sub[1], false, 5)
			for i := range m.Cb { // colours that are near grey: none clips
				m.Cb[i], m.Cr[i] = 118+m.Cb[i]%20, 118+m.Cr[i]%20
			}
			full := &jpeg.Image{}
			full.Reset(m.Width, m.Height, 1, 1, false)
			for y := range m.Height {
				for x := range m.Width {
					i, c := y*m.Width+x, y/m.SubY*m.CStride+x/m.SubX
					full.Y[i], full.Cb[i], full.Cr[i] = m.Y[y*m.YStride+x], m.Cb[c], m.Cr[c]
				}
			}
			wide := &jpeg.Image{}
			*wide = *m
			wide.YStride, wide.CStride = m.YStride+7, m.CStride+5
			spread := func(src []byte, w, h, stride, to int) []byte {
				out := make([]byte, to*h)
				for i := range out {
					out[i] = 77
				}
				for y := range h {
					copy(out[y*to:][:w], src[y*stride:])
				}
				return out
			}
			cw, ch := m.ChromaSize()
			wide.Y = spread(m.Y, m.Width, m.Height, m.YStride, wide.YStride)
			wide.Cb, wide.Cr = spread(m.Cb, cw, ch, m.CStride, wide.CStride), spread(m.Cr, cw, ch, m.CStride, wide.CStride)
			ToSRGB(full, p)
			ToSRGB(m, p)
			ToSRGB(wide, p)
			for y := range m.Height {
				for x := range m.Width {
					if a, b := m.Y[y*m.YStride+x], full.Y[y*m.Width+x]; a != b || a != wide.Y[y*wide.YStride+x] {
						t.Fatalf("%v %v: luma %d at %d,%d, want %d", sub, size, a, x, y, b)
					}
				}
				if wide.Y[y*wide.YStride+m.Width] != 77 {
					t.Fatalf("%v %v: wrote between the rows", sub, size)
				}
			}
			for cy := range ch {
				for cx := range cw {
					sum, n := 0, 0
					for y := cy * m.SubY; y < min((cy+1)*m.SubY, m.Height); y++ {
						for x := cx * m.SubX; x < min((cx+1)*m.SubX, m.Width); x++ {
							sum, n = sum+int(full.Cb[y*m.Width+x]), n+1
						}
					}
					if a := m.Cb[cy*m.CStride+cx]; far(a, uint8((sum+n/2)/n)) > 1 || a != wide.Cb[cy*wide.CStride+cx] {
						t.Fatalf("%v %v: chroma %d at %d,%d, want %d", sub, size, a, cx, cy, (sum+n/2)/n)
					}
				}
			}
		}
	}
}

// Grey has no colour before and after, and with the curve of sRGB it is the same
// grey; a grey picture is treated as one in colour.
func TestToSRGBKeepsGrey(t *testing.T) {
	for _, p := range []*icc.Profile{icc.AdobeRGB(), icc.DisplayP3(), icc.SRGB()} {
		m := &jpeg.Image{}
		m.Reset(256, 2, 2, 2, false)
		grey := &jpeg.Image{}
		grey.Reset(256, 2, 1, 1, true)
		for i := range m.Y {
			m.Y[i], grey.Y[i] = byte(i), byte(i)
		}
		for i := range m.Cb {
			m.Cb[i], m.Cr[i] = 128, 128
		}
		ToSRGB(m, p)
		ToSRGB(grey, p)
		for i, v := range m.Y {
			want := p.Convert([3]uint8{uint8(i), uint8(i), uint8(i)})[0]
			if far(v, want) > 1 || p.Description != "Adobe RGB" && v != byte(i) || grey.Y[i] != v {
				t.Errorf("%s: grey %d becomes %d and %d, want %d", p.Description, i%256, v, grey.Y[i], want)
			}
		}
		for i := range m.Cb {
			if far(m.Cb[i], 128) > 1 || far(m.Cr[i], 128) > 1 {
				t.Errorf("%s: grey gets the colour %d, %d", p.Description, m.Cb[i], m.Cr[i])
			}
		}
	}
	ToSRGB(&jpeg.Image{}, icc.AdobeRGB())
}
