package preview

import (
	"bytes"
	stdjpeg "image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"garner/preview/exif"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/raw"
	"garner/testdata/testneed"
)

// sample reads a real file of the module imagemeta.
func sample(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(testneed.Module(t, "github.com/evanoberholster/imagemeta"), "testImages", name))
	if err != nil {
		t.Skip("needs the sample file " + name + ": " + err.Error())
	}
	return b
}

// Sizes as exiftool gives them for these files.
func TestRealFiles(t *testing.T) {
	for _, c := range []struct {
		name          string
		longEdge      int
		used          int // width
		width, height int
	}{
		{"NEF.exif", 320, 570, 320, 211},
		{"NEF.exif", 1600, 1620, 1600, 1067},
		{"NEF.exif", 2000, 6000, 2000, 1333},
		{"ARW.exif", 320, 1616, 320, 214},
		{"CR2.exif", 1600, 2784, 1600, 1067},
		{"CR2.exif", 100, 160, 100, 0}, // a barred thumbnail
	} {
		b := sample(t, c.name)
		f, err := Open(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			t.Fatal(err)
		}
		got, err := f.Render(t.Context(), c.longEdge)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		w, h := got.Width, got.Height
		if pix.Turned(f.Meta.Orientation) {
			w, h = h, w
		}
		if got.Used.Width != c.used || w != c.width || c.height != 0 && h != c.height {
			t.Errorf("%s at %d: used %dx%d, got %dx%d", c.name, c.longEdge, got.Used.Width, got.Used.Height, got.Width, got.Height)
		}
		if got.Truncated || len(got.Problems) != 0 {
			t.Errorf("%s: %v", c.name, got.Problems)
		}
	}
}

func TestOpenRefuses(t *testing.T) {
	if f, err := Open(bytes.NewReader([]byte("no picture at all")), 17); err == nil || f != nil {
		t.Errorf("%v, %v", f, err)
	}
}

// BenchmarkFileToPixels is the way from a file to pixels that fit, the file in
// memory: what the station does for one picture, and what preparing does.
func BenchmarkFileToPixels(b *testing.B) {
	nef := sample(b, "NEF.exif")
	for _, c := range []struct {
		name     string
		longEdge int
	}{{"thumb-256", 256}, {"screen-1600", 1600}, {"large-3000", 3000}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				f, err := Open(bytes.NewReader(nef), int64(len(nef)))
				if err != nil {
					b.Fatal(err)
				}
				if _, err := f.Render(b.Context(), c.longEdge); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkPrepareOne is all that preparing does with one frame's picture.
func BenchmarkPrepareOne(b *testing.B) {
	nef := sample(b, "NEF.exif")
	b.ReportAllocs()
	for b.Loop() {
		f, err := Open(bytes.NewReader(nef), int64(len(nef)))
		if err != nil {
			b.Fatal(err)
		}
		m, err := f.Render(b.Context(), pix.ThumbEdge)
		if err != nil {
			b.Fatal(err)
		}
		thumb := m.Image
		if _, err := pix.Fingerprint(thumb); err != nil {
			b.Fatal(err)
		}
		pix.MeanLuma(thumb)
		var out bytes.Buffer
		if err := jpeg.Encode(&out, thumb, 85); err != nil {
			b.Fatal(err)
		}
	}
}

// large is a JPEG of 45 MP, from the 24 MP of a real one repeated.
func large(b *testing.B) []byte {
	nef := sample(b, "NEF.exif")
	m, err := jpeg.Decode(nef[1189376:][:2287892], jpeg.Options{})
	if err != nil {
		b.Fatal(err)
	}
	const w, h = 8256, 5504
	out := &jpeg.Image{}
	out.Reset(w, h, 2, 2, false)
	full := func(dst []byte, stride, w, h int, src []byte, from, sw, sh int) {
		for y := range h {
			for x := 0; x < w; x += sw {
				copy(dst[y*stride+x:][:min(sw, w-x)], src[y%sh*from:][:sw])
			}
		}
	}
	full(out.Y, out.YStride, w, h, m.Y, m.YStride, m.Width, m.Height)
	cw, ch := m.ChromaSize()
	full(out.Cb, out.CStride, w/2, h/2, m.Cb, m.CStride, cw, ch)
	full(out.Cr, out.CStride, w/2, h/2, m.Cr, m.CStride, cw, ch)
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, out, 90); err != nil {
		b.Fatal(err)
	}
	return buf.Bytes()
}

// BenchmarkDetail opens the pixels of a frame and takes what a screen shows of
// them: 1600 by 1000 in the middle and at the far corner; with image/jpeg at full
// size beside it.
func BenchmarkDetail(b *testing.B) {
	nef := sample(b, "NEF.exif")
	for _, c := range []struct {
		name string
		src  []byte
	}{{"24MP", nef[1189376:][:2287892]}, {"45MP", large(b)}} {
		info, err := jpeg.Config(bytes.NewReader(c.src), 0, int64(len(c.src)))
		if err != nil {
			b.Fatal(err)
		}
		previews := []raw.Preview{{Length: int64(len(c.src)), Width: info.Width, Height: info.Height, Whole: true}}
		open := func(b *testing.B, v View, area *exif.Area) *Detail {
			d, err := OpenDetail(b.Context(), bytes.NewReader(c.src), previews, v, area)
			if err != nil {
				b.Fatal(err)
			}
			return d
		}
		given := &exif.Area{X: 100, Y: 100, Given: true}
		b.Run(c.name+"/open", func(b *testing.B) {
			for b.Loop() {
				open(b, View{}, nil)
			}
		})
		b.Run(c.name+"/open-focus-known", func(b *testing.B) {
			for b.Loop() {
				open(b, View{}, given)
			}
		})
		for _, v := range []struct {
			name string
			v    View
			at   Place
		}{{"crop-middle", View{}, Place{0.5, 0.5}}, {"crop-corner", View{}, Place{1, 1}}, {"crop-turned", View{Orientation: 6}, Place{0.5, 0.5}}, {"crop-adobe", View{ColorSpace: SpaceAdobeRGB}, Place{0.5, 0.5}}} {
			b.Run(c.name+"/"+v.name, func(b *testing.B) {
				d := open(b, v.v, given)
				r := d.Around(v.at, 1600, 1000)
				b.ReportAllocs()
				for b.Loop() {
					if _, err := d.Crop(b.Context(), r); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
		b.Run(c.name+"/image-jpeg", func(b *testing.B) {
			for b.Loop() {
				if _, err := stdjpeg.Decode(bytes.NewReader(c.src)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
