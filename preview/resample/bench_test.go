package resample

import (
	"fmt"
	"image"
	"testing"

	"garner/preview/jpeg"
)

// A picture of 24 MP from rows of linear light to the sizes of the sets, on one core:
// go test -run xxx -bench Resample -cpu 1 ./preview/resample
func BenchmarkResample(b *testing.B) {
	const w, h = 6000, 4000
	row := make([]float32, w*3)
	for i := range row {
		row[i] = float32(i%997) / 997
	}
	sizes := []image.Point{{2048, 1365}, {3240, 2160}, {1024, 683}, {256, 171}, {6000, 4000}}
	for _, s := range append(sizes, image.Point{}) {
		name := fmt.Sprintf("%dx%d", s.X, s.Y)
		if s == (image.Point{}) {
			name = "both"
		}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				var rs []*Resampler
				for i, to := range sizes {
					if to != s && (s != image.Point{} || i > 1) {
						continue
					}
					r, err := New(image.Rect(0, 0, w, h), to.X, to.Y, func(int, []float32) error { return nil })
					if err != nil {
						b.Fatal(err)
					}
					rs = append(rs, r)
				}
				f, err := NewFeed(w, h, rs...)
				if err != nil {
					b.Fatal(err)
				}
				for range h {
					if err := f.Push(row); err != nil {
						b.Fatal(err)
					}
				}
				if err := f.Close(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// The steps beside it: a decoded JPEG of 24 MP to RGB and to light, and a picture of
// 2048 x 1365 encoded, sharpened and made codes.
func BenchmarkSteps(b *testing.B) {
	const w, h = 6000, 4000
	rgb, light := make([]byte, w*3), make([]float32, w*3)
	for i := range rgb {
		rgb[i] = byte(i * 7)
	}
	for _, sub := range []struct {
		name string
		x, y int
	}{{"420", 2, 2}, {"422", 2, 1}, {"444", 1, 1}} {
		m := &jpeg.Image{}
		m.Reset(w, h, sub.x, sub.y, false)
		for i := range m.Y {
			m.Y[i] = byte(i)
		}
		p, err := NewPlanes(m)
		if err != nil {
			b.Fatal(err)
		}
		b.Run("planes"+sub.name, func(b *testing.B) {
			for range b.N {
				for y := range h {
					p.Row(rgb, y)
				}
			}
		})
	}
	codes := newTable(func(v float64) float64 { return v * v })
	b.Run("table", func(b *testing.B) {
		for range b.N {
			for range h {
				codes.linear(light, rgb)
			}
		}
	})
	const sw, sh = 2048, 1365
	row := light[:sw*3]
	b.Run("encode", func(b *testing.B) {
		for range b.N {
			for range sh {
				SRGB().Encode(row, row)
			}
		}
	})
	b.Run("bytes", func(b *testing.B) {
		for range b.N {
			for range sh {
				SRGB().Bytes(rgb[:sw*3], row)
			}
		}
	})
	b.Run("sharpen", func(b *testing.B) {
		for range b.N {
			s, err := NewSharpener(sw, sh, Unsharp{Radius: 0.8, Amount: 0.6}, func(int, []float32) error { return nil })
			if err != nil {
				b.Fatal(err)
			}
			for range sh {
				if err := s.Push(row); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}
