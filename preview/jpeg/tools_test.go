package jpeg

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"garner/testdata/testneed"
)

// This file holds decodes against the tools of libjpeg-turbo.

// pipe runs a tool on input and returns what it wrote; a tool that warns of
// damage exits with 2 and has written its picture all the same.
func pipe(t *testing.T, input []byte, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(testneed.Tool(t, name), args...)
	cmd.Stdin = bytes.NewReader(input)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil && cmd.ProcessState.ExitCode() != 2 {
		t.Fatalf("%s: %v: %s", name, err, said.String())
	}
	return out.Bytes()
}

// pgm reads a binary PGM as djpeg writes it: a grey plane, row by row.
func pgm(t *testing.T, b []byte) *Image {
	t.Helper()
	var w, h, most int
	if n, err := fmt.Sscanf(string(b[:min(len(b), 40)]), "P5\n%d %d\n%d\n", &w, &h, &most); n != 3 || most != 255 || len(b) < w*h {
		t.Fatalf("no PGM: %q, %v", b[:min(len(b), 20)], err)
	}
	return &Image{Width: w, Height: h, YStride: w, Y: b[len(b)-w*h:], SubX: 1, SubY: 1, Rows: h}
}

// difference returns the largest and the mean absolute difference of luma in
// the first rows.
func difference(t *testing.T, a, b *Image, rows int) (most int, mean float64) {
	t.Helper()
	if a.Width != b.Width || a.Height != b.Height {
		t.Fatalf("%dx%d against %dx%d", a.Width, a.Height, b.Width, b.Height)
	}
	sum := 0
	for y := range rows {
		for x := range a.Width {
			d := int(a.Y[y*a.YStride+x]) - int(b.Y[y*b.YStride+x])
			d = max(d, -d)
			most, sum = max(most, d), sum+d
		}
	}
	return most, float64(sum) / float64(rows*a.Width)
}

// photos are real embedded JPEGs, at the places that exiftool reports.
func photos(t testing.TB) map[string][]byte {
	t.Helper()
	dir := filepath.Join(testneed.Module(t, "github.com/evanoberholster/imagemeta"), "testImages")
	out := map[string][]byte{}
	for _, p := range []struct {
		file           string
		offset, length int
	}{{"NEF.exif", 27136, 98230}, {"NEF.exif", 184320, 1004813}, {"ARW.exif", 163891, 1129868}, {"ARW.exif", 47796, 4193}, {"CR2.exif", 42308, 296899}} {
		b, err := os.ReadFile(filepath.Join(dir, p.file))
		if err != nil {
			t.Skip("needs the sample file " + p.file + ": " + err.Error())
		}
		out[fmt.Sprint(p.file, "@", p.offset)] = b[p.offset : p.offset+p.length]
	}
	return out
}

// quick is the length of a JPEG up to which it is decoded many times here.
const quick = 200 << 10

// jpegtran writes the same coefficients in another coding: the same picture,
// sample by sample.
func TestOtherCodingsOfOnePicture(t *testing.T) {
	for name, src := range photos(t) {
		if len(src) > quick {
			continue
		}
		want, err := Decode(src, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"-progressive"}, {"-restart", "1"}, {"-restart", "7B"}, {"-optimize"}, {"-grayscale"}} {
			b := pipe(t, src, "jpegtran", args...)
			got, err := Decode(b, Options{})
			if err != nil {
				t.Errorf("%s %v: %v", name, args, err)
				continue
			}
			tolerance := 0
			if args[0] == "-progressive" { // decoded by the standard library, with another exact transform
				tolerance = 1
			}
			if most, _ := difference(t, got, want, want.Height); most > tolerance || got.Truncated {
				t.Errorf("%s %v: luma differs by %d, truncated %v", name, args, most, got.Truncated)
			}
		}
		// Known difference: image/jpeg counts restart intervals of scans that are
		// not interleaved in interleaved units, and gives up at the first of them.
		// What the scans before it hold is shown, and marked.
		b := pipe(t, src, "jpegtran", "-progressive", "-restart", "2")
		got, err := Decode(b, Options{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		flat := &Image{} // every block its mean: what the first scan holds
		flat.Reset(want.Width, want.Height, 1, 1, true)
		eighth, err := Decode(src, Options{Scale: 8})
		if err != nil {
			t.Fatal(err)
		}
		for i := range flat.Y {
			flat.Y[i] = eighth.Y[i/want.Width/8*eighth.YStride+i%want.Width/8]
		}
		_, limit := difference(t, flat, want, want.Height)
		if _, mean := difference(t, got, want, want.Height); mean > limit+0.5 || !got.Truncated {
			t.Errorf("%s progressive with restarts: differs by %.1f in the mean, its first scan by %.1f; truncated %v", name, mean, limit, got.Truncated)
		}
	}
}

// What is left of a cut file must be what djpeg makes of it, and about as much:
// djpeg gives every block before the cut.
func TestCutAgainstDjpeg(t *testing.T) {
	for name, whole := range photos(t) {
		if len(whole) > quick {
			continue
		}
		for _, args := range [][]string{nil, {"-restart", "1"}, {"-restart", "5B"}} {
			src := whole
			if args != nil {
				src = pipe(t, whole, "jpegtran", args...)
			}
			h, err := headerOf(src)
			if err != nil {
				t.Fatal(err)
			}
			full, err := Decode(src, Options{})
			if err != nil {
				t.Fatal(err)
			}
			_, mcu, _, _ := h.mcu()
			for _, percent := range []int{30, 60, 95} {
				cut := src[:int(h.scan)+(len(src)-int(h.scan))*percent/100]
				want := pgm(t, pipe(t, cut, "djpeg", "-grayscale", "-dct", "int"))
				got, err := Decode(cut, Options{})
				if err != nil {
					t.Errorf("%s %v %d %%: %v", name, args, percent, err)
					continue
				}
				if most, _ := difference(t, got, want, got.Rows); most > 2 {
					t.Errorf("%s %v %d %%: differs by %d within %d rows", name, args, percent, most, got.Rows)
				}
				// djpeg's own last whole row: the first where it leaves the full picture.
				real := 0
				for real < full.Height {
					row := Image{Width: full.Width, Height: 1, YStride: full.Width, Y: want.Y[real*want.YStride:]}
					ref := Image{Width: full.Width, Height: 1, YStride: full.Width, Y: full.Y[real*full.YStride:]}
					if most, _ := difference(t, &row, &ref, 1); most > 2 {
						break
					}
					real++
				}
				if got.Rows < real-2*mcu || !got.Truncated {
					t.Errorf("%s %v %d %%: %d rows, djpeg has %d", name, args, percent, got.Rows, real)
				}
			}
		}
	}
}

func writeFile(t testing.TB, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}
