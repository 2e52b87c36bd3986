package proofs

import (
	"bytes"
	"fmt"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/preview/icc"
	"garner/testdata/testneed"
)

func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(testneed.Tool(t, name), args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %q: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// qpdf finds nothing wrong; poppler finds the pictures as they were, byte for byte, the
// texts, the title, and draws what it should where it should.
func TestPDFWithTools(t *testing.T) {
	p, files := invented(t)
	// One grey picture among the others.
	g := &p.Scenes[0].Pictures[1]
	files[g.Small.Name] = drawn(t, g.Small.Width, g.Small.Height, 2, true)
	profile := icc.Encode(icc.SpaceDisplayP3)
	for name, s := range map[string]Sheet{"a4": {}, "letter": {Paper: Letter, Columns: 3, Rows: 4, Profile: profile}} {
		pdf, _ := printed(t, p, s, files)
		keep(t, name+".pdf", pdf)
		dir := folder(t, map[string][]byte{"x.pdf": pdf})
		file := filepath.Join(dir, "x.pdf")
		if out := run(t, "qpdf", "--check", file); !strings.Contains(out, "No syntax or stream encoding errors found") || strings.Contains(out, "WARNING") {
			t.Errorf("%s: qpdf: %s", name, out)
		}
		run(t, "pdfimages", "-all", file, filepath.Join(dir, "image"))
		n := 0
		for _, scene := range p.Scenes {
			for _, pic := range scene.Pictures {
				b, err := os.ReadFile(filepath.Join(dir, fmt.Sprintf("image-%03d.jpg", n)))
				if n++; err != nil || !bytes.Equal(b, files[pic.Small.Name]) {
					t.Errorf("%s: picture %s is not what it was (%v)", name, pic.Number, err)
				}
			}
		}
		if found, _ := filepath.Glob(filepath.Join(dir, "image-*")); len(found) != n {
			t.Errorf("%s: %d pictures, not %d", name, len(found), n)
		}
		info := run(t, "pdfinfo", file)
		for _, want := range []string{"Title:           Anna & Jørgen\n", "Author:          Studio Łódź\n", map[string]string{"a4": "595.28 x 841.89 pts (A4)", "letter": "612 x 792 pts (letter)"}[name]} {
			if !strings.Contains(info, want) {
				t.Errorf("%s: no %q in %s", name, want, info)
			}
		}
		// ActualText: what is copied is what was meant.
		text := run(t, "pdftotext", "-raw", file, "-")
		for _, want := range []string{"Anna & Jørgen", "Studio Łódź", "Getting ready", "Церковь", "0401", "A/0402", "0403 ч/б", "0437", "1 / "} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: no %q in the text %q", name, want, text)
			}
		}
		if !bytes.Contains(pdf, []byte(" Tm (Scene 4) Tj ET")) || bytes.Contains(pdf, []byte("Tm (?) Tj")) {
			t.Errorf("%s: the scene whose letters are not there is not told by its place", name)
		}
		if name == "a4" {
			drawnPage(t, file, dir)
		}
	}
}

// drawnPage looks at the first page of 4 by 5, whose first picture is 480x320 and lies
// in the upper left place, its sun at two ninths of its width from the left.
func drawnPage(t *testing.T, file, dir string) {
	t.Helper()
	run(t, "pdftoppm", "-r", "72", "-f", "1", "-l", "1", "-singlefile", "-png", file, filepath.Join(dir, "page"))
	b, err := os.ReadFile(filepath.Join(dir, "page.png"))
	if err != nil {
		t.Fatal(err)
	}
	m, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	// From the sizes of Sheet: places of 123.3 points, 140.4 high without number and gap.
	width := (595.28 - 72 - 30) / 4
	row := (841.89 - 72 - 26 - 18 - 24) / 5
	top := 36 + 26 + 24 + row - 14 - 10 - width*320/480 // at the foot of its place
	at := func(fx, fy float64) (r, g, b uint32) {
		r, g, b, _ = m.At(int(36+fx*width), int(top+fy*width*320/480)).RGBA()
		return r >> 8, g >> 8, b >> 8
	}
	if r, g, b := at(2./9, 1./4); r < 245 || g < 230 || b < 165 || b > 195 {
		t.Errorf("the sun is %d %d %d", r, g, b)
	}
	if r, g, b := at(0.5, 0.95); g < r || g < b || g > 130 {
		t.Errorf("the ground is %d %d %d", r, g, b)
	}
	for _, corner := range [][2]float64{{-0.05, 0.5}, {1.03, 0.5}, {0.5, -0.08}, {0.02, 1.1}} {
		if r, g, b := at(corner[0], corner[1]); r+g+b != 3*255 {
			t.Errorf("beside the picture, at %v, the paper is %d %d %d", corner, r, g, b)
		}
	}
	ink := false // the number, in the middle under the picture
	for y := 1.05; y < 1.16; y += 0.01 {
		for x := 0.4; x < 0.6; x += 0.005 {
			r, g, b := at(x, y)
			ink = ink || r+g+b < 3*128
		}
	}
	if !ink {
		t.Error("no number under the picture")
	}
}
