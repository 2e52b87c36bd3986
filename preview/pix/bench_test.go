package pix

import (
	"fmt"
	"image"
	"testing"

	"github.com/disintegration/imaging"

	"garner/preview/icc"
	"garner/preview/jpeg"
)

// The reductions that preparing and showing do, with the imaging module's Lanczos
// of the same picture beside them. Sub-benchmarks run one after the other, so that
// their ratios hold on a machine that others use as well.
func BenchmarkReduce(b *testing.B) {
	var into jpeg.Image
	for _, c := range [][4]int{{1620, 1080, 1500, 1000}, {1620, 1080, 800, 533}, {570, 375, 256, 168}, {750, 500, 256, 171}, {6000, 4000, 2048, 1365}} {
		m := noise(c[0], c[1], 2, 2, false, 1)
		name := fmt.Sprintf("%dx%d/%dx%d/", c[0], c[1], c[2], c[3])
		b.Run(name+"resize", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				ResizeInto(&into, m, c[2], c[3])
			}
		})
		b.Run(name+"fit", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Fit(m, c[2])
			}
		})
		b.Run(name+"imaging", func(b *testing.B) {
			std := m.Std()
			for b.Loop() {
				imaging.Resize(std, c[2], c[3], imaging.Lanczos)
			}
		})
	}
}

func BenchmarkResizeUp(b *testing.B) {
	m := noise(1500, 1000, 2, 2, false, 1)
	var into jpeg.Image
	for b.Loop() {
		ResizeInto(&into, m, 1600, 1066)
	}
}

func BenchmarkOrient(b *testing.B) {
	m := noise(1500, 1000, 2, 2, false, 1)
	for k := 2; k <= 8; k++ {
		b.Run(fmt.Sprint(k), func(b *testing.B) {
			for b.Loop() {
				Orient(m, k)
			}
		})
	}
}

func BenchmarkFingerprint(b *testing.B) {
	m := noise(256, 171, 2, 2, false, 1)
	for b.Loop() {
		if _, err := Fingerprint(m); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCut(b *testing.B) {
	m := noise(1608, 1008, 2, 2, false, 1)
	for _, k := range []int{1, 6} {
		b.Run(fmt.Sprint(k), func(b *testing.B) {
			for b.Loop() {
				Cut(m, image.Rect(3, 3, 1603, 1003), k)
			}
		})
	}
}

func BenchmarkToSRGB(b *testing.B) {
	for _, sub := range [][2]int{{2, 2}, {2, 1}, {1, 1}} {
		m := noise(1620, 1000, sub[0], sub[1], false, 1)
		for i := range m.Cb {
			m.Cb[i], m.Cr[i] = 64+m.Cb[i]/2, 64+m.Cr[i]/2
		}
		p := icc.AdobeRGB()
		work := clone(m)
		b.Run(fmt.Sprintf("%dx%d", sub[0], sub[1]), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				copy(work.Y, m.Y)
				copy(work.Cb, m.Cb)
				copy(work.Cr, m.Cr)
				ToSRGB(work, p)
			}
		})
	}
}

func BenchmarkSharpest(b *testing.B) {
	m := nefPreviews(b)[0]
	for b.Loop() {
		Sharpest(m, 20)
	}
}

func BenchmarkLook(b *testing.B) {
	m := noise(256, 171, 2, 2, false, 1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Look(m); err != nil {
			b.Fatal(err)
		}
	}
}
