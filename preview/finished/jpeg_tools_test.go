package finished_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"garner/preview/finished"
	"garner/testdata/testneed"
)

// ppm is a picture of 8 bits for cjpeg, smooth enough that a coder does it little
// harm.
func ppm(w, h int) []byte {
	b := fmt.Appendf(nil, "P6\n%d %d\n255\n", w, h)
	for y := range h {
		for x := range w {
			s := func(f float64) byte { return byte(127.5 + 127.4*math.Sin(f)) }
			b = append(b, s(float64(x)/9), s(float64(y)/7+1), s(float64(x+y)/11+2))
		}
	}
	return b
}

// pnm is the samples of a P5 or P6 file, brought to 16 bits.
func pnm(t *testing.T, b []byte) []uint16 {
	t.Helper()
	var kind string
	var w, h, most int
	if _, err := fmt.Sscanf(string(b[:min(len(b), 40)]), "%s\n%d %d\n%d", &kind, &w, &h, &most); err != nil || most != 255 {
		t.Fatalf("not a PNM of 8 bits: %v", err)
	}
	n := w * h
	if kind == "P6" {
		n *= 3
	}
	var px []uint16
	for _, v := range b[len(b)-n:] {
		px = append(px, uint16(v)*257)
	}
	return px
}

// Rows of JPEGs in every subsampling are those of libjpeg-turbo's djpeg, which
// interpolates chroma by the same weights but rounds it to 8 bits twice in between:
// that is good for two steps of 8 bits. A quarter of the chroma (4x1, 4x2) djpeg
// repeats and does not interpolate; nor does it where a row has one or two samples.
func TestJPEGsAgainstDjpeg(t *testing.T) {
	t.Parallel()
	cjpeg, djpeg := testneed.Tool(t, "cjpeg"), testneed.Tool(t, "djpeg")
	for _, c := range []struct {
		name        string
		args        []string
		most, mean  float64 // in steps of 8 bits
		hasNoPlanes bool
	}{
		{"444", []string{"-sample", "1x1"}, 2, 0.5, false},
		{"422", []string{"-sample", "2x1"}, 2.5, 0.5, false},
		{"440", []string{"-sample", "1x2"}, 2.5, 0.5, false},
		{"420", []string{"-sample", "2x2"}, 2.5, 0.5, false},
		{"411", []string{"-sample", "4x1"}, 40, 6, false},
		{"grey", []string{"-grayscale"}, 0, 0, false},
		{"progressive", []string{"-progressive", "-sample", "2x2"}, 3, 0.7, false},
		{"restarts", []string{"-restart", "1", "-sample", "2x2"}, 2.5, 0.5, false},
		{"rgb", []string{"-rgb"}, 1, 0.1, true},
	} {
		for _, size := range [][2]int{{123, 77}, {64, 48}, {1, 1}, {5, 3}, {17, 1}} {
			b := run(t, ppm(size[0], size[1]), ".jpg", cjpeg, append(c.args, "-quality", "95", "-dct", "int", "-outfile", "OUT", "IN")...)
			want := pnm(t, run(t, b, ".pnm", djpeg, "-dct", "int", "-pnm", "-outfile", "OUT", "IN"))
			p := open(t, b)
			got, err := rowsOf(p)
			if err != nil || len(got) != len(want) {
				t.Errorf("%s %v: %v, %d samples of %d", c.name, size, err, len(got), len(want))
				continue
			}
			sum := 0.0
			for i := range got {
				sum += math.Abs(float64(got[i])-float64(want[i])) / 257
			}
			d, at := farthest(got, want)
			if mean := sum / float64(len(got)); float64(d)/257 > c.most || mean > c.mean {
				t.Errorf("%s %v: off by %.2f at %d, %.3f in the mean", c.name, size, float64(d)/257, at, mean)
			}
			m, ok, err := p.Planes(context.Background())
			if err != nil || ok == c.hasNoPlanes || ok && (m.Width != size[0] || m.Height != size[1]) {
				t.Errorf("%s %v: planes %v, %v", c.name, size, ok, err)
			}
		}
	}
}

// CMYK as libvips writes it, inverted as usual, comes out as the ink that libvips
// reads of it.
func TestJPEGOfInk(t *testing.T) {
	t.Parallel()
	vips := testneed.Tool(t, "vips")
	tif := baseTIFF(binary.LittleEndian, 64, 48, 4, 8, 5, scene(64, 48, 4, 8))
	b := run(t, tif, ".jpg", vips, "jpegsave", "IN", "OUT", "--Q", "95")
	p := open(t, b)
	got, err := rowsOf(p)
	if err != nil || p.Model != finished.CMYK {
		t.Fatal(p.Model, err)
	}
	want := mustRows(t, run(t, b, ".tif", vips, "copy", "IN", "OUT"))
	if d, at := farthest(got, want); d > 2*257 {
		t.Errorf("off by %d at %d", d, at)
	}
}

// A JPEG that is cut off, anywhere, is an error before its first row.
func TestJPEGsCutOff(t *testing.T) {
	cjpeg := testneed.Tool(t, "cjpeg")
	for _, args := range [][]string{{"-sample", "2x2"}, {"-progressive"}, {"-rgb"}, {"-grayscale", "-restart", "1"}} {
		b := run(t, ppm(123, 77), ".jpg", cjpeg, append(args, "-outfile", "OUT", "IN")...)
		for n := len(b) - 3; n >= 0; n -= 1 + len(b)/61 { // of EOI alone nothing is missed
			p, err := finished.Open(bytes.NewReader(b[:n]), int64(n))
			var got []uint16
			if err == nil {
				got, err = rowsOf(p)
			}
			if err == nil || len(got) > 0 {
				t.Fatalf("%v cut at %d of %d: %d samples, %v", args, n, len(b), len(got), err)
			}
		}
	}
}

// Real photographs give djpeg's colours too.
func TestPhotographsAgainstDjpeg(t *testing.T) {
	t.Parallel()
	djpeg := testneed.Tool(t, "djpeg")
	files, _ := filepath.Glob(filepath.Join(testneed.Samples(t), "photos", "*.jpg"))
	if len(files) == 0 {
		t.Fatal("no photographs among the samples")
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		want := pnm(t, run(t, b, ".pnm", djpeg, "-dct", "int", "-pnm", "-outfile", "OUT", "IN"))
		got := mustRows(t, b)
		if d, at := farthest(got, want); d > 700 {
			t.Errorf("%s: off by %d at %d", filepath.Base(f), d, at)
		}
	}
}
