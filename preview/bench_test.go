package preview

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"garner/preview/jpeg"
	"garner/preview/pix"
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
