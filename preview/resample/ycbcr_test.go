package resample

import (
	"bytes"
	"fmt"
	"os/exec"
	"testing"

	"garner/preview/jpeg"
	"garner/testdata/testneed"
)

// pipe runs a tool on input and returns what it wrote.
func pipe(t testing.TB, input []byte, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(testneed.Tool(t, name), args...)
	cmd.Stdin = bytes.NewReader(input)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s: %v: %s", name, err, said.String())
	}
	return out.Bytes()
}

// ppm takes a binary PPM or PGM apart.
func ppm(t testing.TB, b []byte) (w, h int, pix []byte) {
	t.Helper()
	var kind byte
	if n, err := fmt.Sscanf(string(b[:min(len(b), 40)]), "P%c\n%d %d\n255\n", &kind, &w, &h); n != 3 || err != nil {
		t.Fatalf("no PPM: %q, %v", b[:min(len(b), 20)], err)
	}
	n := w * h
	if kind == '6' {
		n *= channels
	}
	return w, h, b[len(b)-n:]
}

// painted is a PPM with edges and colours everywhere.
func painted(w, h int) []byte {
	b := fmt.Appendf(nil, "P6\n%d %d\n255\n", w, h)
	for y := range h {
		for x := range w {
			b = append(b, byte(x*7+y*3), byte(x*x/5+y*11), byte((x/4+y/3)%2*200+x%50))
		}
	}
	return b
}

// Rows of every subsampling and of odd sizes are those of djpeg (libjpeg-turbo) to the
// last bit, which interpolates chroma as this package does.
func TestPlanesAgainstDjpeg(t *testing.T) {
	for _, sample := range []string{"1x1", "2x1", "2x2", "1x2", "4x1", "grey"} {
		for _, size := range [][2]int{{1, 1}, {2, 3}, {4, 4}, {5, 5}, {6, 2}, {17, 16}, {64, 48}, {131, 77}, {258, 33}} {
			args := []string{"-quality", "90", "-sample", sample}
			if sample == "grey" {
				args = []string{"-grayscale"}
			}
			file := pipe(t, painted(size[0], size[1]), "cjpeg", args...)
			w, h, want := ppm(t, pipe(t, file, "djpeg", "-dct", "int"))
			m, err := jpeg.Decode(file, jpeg.Options{})
			if err != nil {
				t.Fatal(err)
			}
			p, err := NewPlanes(m)
			if err != nil || m.Width != w || m.Height != h {
				t.Fatalf("%s: %d x %d, %v", sample, m.Width, m.Height, err)
			}
			row := make([]byte, w*channels)
			for y := range h {
				p.Row(row, y)
				for i, v := range row {
					at := y*w*channels + i
					if sample == "grey" {
						at /= channels
					}
					if v != want[at] {
						t.Fatalf("%s, %v: channel %d of %d, %d is %d, with djpeg %d", sample, size, i%channels, i/channels, y, v, want[at])
					}
				}
			}
		}
	}
}

func TestPlanesNotValid(t *testing.T) {
	for _, m := range []*jpeg.Image{nil, {}, {Width: 5, Height: 5, YStride: 5, Y: make([]byte, 24)}} {
		if _, err := NewPlanes(m); err == nil {
			t.Errorf("%+v", m)
		}
	}
}

// A table gives the light of every code.
func TestTable(t *testing.T) {
	codes := newTable(func(code float64) float64 { return light(code * 255) })
	rgb := make([]byte, 256*channels)
	for i := range rgb {
		rgb[i] = byte(i)
	}
	values := make([]float32, len(rgb))
	codes.linear(values, rgb)
	for i, v := range values {
		if v != float32(light(float64(rgb[i]))) {
			t.Errorf("%d becomes %g", rgb[i], v)
		}
	}
}
