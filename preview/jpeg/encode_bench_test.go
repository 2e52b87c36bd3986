package jpeg

import (
	"bytes"
	"fmt"
	stdjpeg "image/jpeg"
	"io"
	"testing"
)

// photo is a real picture of about 2048 samples across, 4:2:0 as renditions are.
func photo(b testing.TB) *Image {
	for name, src := range photos(b) {
		if name != "NEF.exif@184320" {
			continue
		}
		full, err := Decode(src, Options{})
		if err != nil {
			b.Fatal(err)
		}
		m := &Image{}
		m.Reset(min(full.Width, 2048), min(full.Height, 1365), 2, 2, false)
		for y := range m.Height {
			copy(m.Y[y*m.YStride:][:m.Width], full.Y[y*full.YStride:])
		}
		w, h := m.ChromaSize()
		for y := range h {
			for x := range w {
				at := 2*y/full.SubY*full.CStride + 2*x/full.SubX
				m.Cb[y*m.CStride+x], m.Cr[y*m.CStride+x] = full.Cb[at], full.Cr[at]
			}
		}
		return m
	}
	b.Fatal("the picture is not among the photographs")
	return nil
}

// BenchmarkEncode has this encoder, image/jpeg, and cjpeg as a whole process
// that reads RGB, in one run.
func BenchmarkEncode(b *testing.B) {
	m := photo(b)
	for _, q := range []int{75, 85, 95} {
		b.Run(fmt.Sprint("garner/", q), func(b *testing.B) {
			var dst []byte
			b.ReportAllocs()
			for b.Loop() {
				dst, _ = AppendEncode(dst[:0], m, q)
			}
			b.ReportMetric(float64(len(dst)), "bytes")
		})
		b.Run(fmt.Sprint("image-jpeg/", q), func(b *testing.B) {
			std := m.Std()
			var dst bytes.Buffer
			for b.Loop() {
				dst.Reset()
				if err := stdjpeg.Encode(&dst, std, &stdjpeg.Options{Quality: q}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(dst.Len()), "bytes")
		})
		b.Run(fmt.Sprint("cjpeg/", q), func(b *testing.B) {
			var ppm bytes.Buffer
			fmt.Fprintf(&ppm, "P6\n%d %d\n255\n", m.Width, m.Height)
			for y := range m.Height {
				for x := range m.Width {
					r, g, bl := rgbAt(m, x, y)
					ppm.Write([]byte{r, g, bl})
				}
			}
			for b.Loop() {
				tool(b, ppm.Bytes(), io.Discard, "cjpeg", "-quality", fmt.Sprint(q))
			}
		})
	}
}
