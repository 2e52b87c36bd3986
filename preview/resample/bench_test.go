package resample

import (
	"fmt"
	"image"
	"testing"
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
