package pix

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"garner/preview/jpeg"
	"garner/testdata/testneed"
)

// stored makes the picture that a camera stores for an upright one, from the
// words of the Exif table: what side of the scene the stored 0th row and the
// 0th column are (TIFF 6.0 section 8, Orientation).
func stored(up *jpeg.Image, row0, col0 string) *jpeg.Image {
	w, h := up.Width, up.Height
	if row0 == "left" || row0 == "right" {
		w, h = h, w
	}
	out := &jpeg.Image{}
	out.Reset(w, h, 1, 1, true)
	for r := range h {
		for c := range w {
			x, y := 0, 0
			for _, side := range []struct {
				name string
				n    int
			}{{row0, r}, {col0, c}} {
				switch side.name {
				case "top":
					y = side.n
				case "bottom":
					y = up.Height - 1 - side.n
				case "left":
					x = side.n
				case "right":
					x = up.Width - 1 - side.n
				}
			}
			out.Y[r*w+c] = up.Y[y*up.YStride+x]
		}
	}
	return out
}

var exifTable = map[int][2]string{
	1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
	5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"},
}

func TestOrientByTheExifTable(t *testing.T) {
	for _, size := range [][2]int{{3, 2}, {1, 5}, {70, 41}} {
		up := &jpeg.Image{}
		up.Reset(size[0], size[1], 1, 1, true)
		for i := range up.Y {
			up.Y[i] = byte(i*7 + i/256)
		}
		for k, names := range exifTable {
			got := Orient(stored(up, names[0], names[1]), k)
			if got.Width != up.Width || got.Height != up.Height || string(got.Y) != string(up.Y) {
				t.Errorf("%v, orientation %d is not upright", size, k)
			}
		}
		for _, k := range []int{-1, 0, 1, 9, 65535} {
			if Orient(up, k) != up {
				t.Errorf("orientation %d is not left alone", k)
			}
		}
	}
}

// Chroma must go where its luma goes. With even sizes every chroma sample stays
// over the same luma samples.
func TestOrientTurnsChromaWithLuma(t *testing.T) {
	for _, sub := range [][2]int{{1, 1}, {2, 1}, {2, 2}, {1, 2}, {4, 1}} {
		m := &jpeg.Image{}
		m.Reset(24, 16, sub[0], sub[1], false)
		for y := range m.Height {
			for x := range m.Width {
				c := y/m.SubY*m.CStride + x/m.SubX
				v := byte(x/m.SubX*16 + y/m.SubY) // luma carries the name of its chroma sample
				m.Y[y*m.YStride+x], m.Cb[c], m.Cr[c] = v, v, ^v
			}
		}
		for k := 1; k <= 8; k++ {
			got := Orient(m, k)
			if !got.Valid() {
				t.Fatalf("%v, orientation %d: planes do not fit", sub, k)
			}
			for y := range got.Height {
				for x := range got.Width {
					v, c := got.Y[y*got.YStride+x], y/got.SubY*got.CStride+x/got.SubX
					if got.Cb[c] != v || got.Cr[c] != ^v {
						t.Fatalf("%v, orientation %d: chroma of another place at %d,%d", sub, k, x, y)
					}
				}
			}
			if got.Std() == nil {
				t.Fatalf("%v, orientation %d: no standard image", sub, k)
			}
		}
	}
}

// Real files of all eight orientations: of the transforms that give the right
// size, the one that the tag names must come closest to the upright picture.
// The files are lossy, so equality is not to be had.
func TestOrientRealFiles(t *testing.T) {
	dir := filepath.Join(testneed.Module(t, "github.com/disintegration/imaging"), "testdata")
	load := func(k int) *jpeg.Image {
		src, err := os.ReadFile(filepath.Join(dir, fmt.Sprintf("orientation_%d.jpg", k)))
		if err != nil {
			t.Fatal(err)
		}
		m, err := jpeg.Decode(src, jpeg.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	up := load(1)
	for k := 1; k <= 8; k++ {
		m := load(k)
		best, least, second := 0, 1e9, 1e9
		for try := 1; try <= 8; try++ {
			got := Orient(m, try)
			if got.Width != up.Width || got.Height != up.Height {
				continue
			}
			if d := lumaDistance(got, up); d < least {
				best, least, second = try, d, least
			} else {
				second = min(second, d)
			}
		}
		if best != k || second < 1.5*least {
			t.Errorf("orientation_%d.jpg: transform %d is the closest (%.1f, next %.1f)", k, best, least, second)
		}
	}
}

func lumaDistance(a, b *jpeg.Image) float64 {
	sum := 0
	for y := range a.Height {
		for x := range a.Width {
			d := int(a.Y[y*a.YStride+x]) - int(b.Y[y*b.YStride+x])
			sum += max(d, -d)
		}
	}
	return float64(sum) / float64(a.Width*a.Height)
}

func TestOrientTruncated(t *testing.T) {
	m := &jpeg.Image{}
	m.Reset(8, 8, 1, 1, true)
	m.Truncated, m.Rows = true, 4
	for k, rows := range map[int]int{1: 4, 2: 4, 3: 0, 4: 0, 6: 0} {
		if got := Orient(m, k); !got.Truncated || got.Rows != rows {
			t.Errorf("orientation %d: truncated %v, rows %d, want %d", k, got.Truncated, got.Rows, rows)
		}
	}
}
