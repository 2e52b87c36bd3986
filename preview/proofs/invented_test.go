package proofs

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"
)

// nasty is a text that would break out of markup, of a PDF string and of its line.
const nasty = "Feier & Fête </bdi></title><script>alert(1)</script>\" onerror='x' (\\) \u202egpj\u2066\x00\x1b[31m"

// invented is a page with all that is known to be difficult, and its files.
func invented(t testing.TB) (*Page, map[string][]byte) {
	t.Helper()
	files := map[string][]byte{}
	p := &Page{
		Title: "Anna & Jørgen", Studio: "Studio Łódź", Note: "Thank you for the day with you.\nPlease choose 40 pictures until 1 March.\r\n\r\nאנא בחרו 40 תמונות.",
		Sheets: []Paper{A4, Letter},
	}
	sizes := [][2]int{{480, 320}, {320, 480}, {480, 320}, {480, 270}, {400, 400}, {480, 320}, {480, 120}}
	n := 0
	for i, name := range []string{"Getting ready", nasty, "חתונה 2026", "Церковь", "A very long name of a scene that goes on and on until it does not fit into a line of any paper or telephone", "empty"} {
		s := Scene{Name: name}
		for j := 0; j < []int{9, 1, 6, 14, 7, 0}[i]; j++ {
			size := sizes[n%len(sizes)]
			n++
			number := fmt.Sprintf("%04d", 400+n)
			pic := Picture{Number: number, Small: File{SmallName(number), size[0], size[1]}, Large: File{LargeName(number), size[0] * 2, size[1] * 2}}
			switch j {
			case 0:
				pic.Alt = "the two of them, " + nasty
			case 1:
				pic.Number = "A/" + number
			case 2:
				pic.Number = number + " ч/б"
			case 3:
				pic.Small.Name = "small/ö #1 50%25 & 'x'-" + number + ".jpg"
			case 4:
				pic.Large = File{}
			}
			files[pic.Small.Name] = drawn(t, size[0], size[1], n, false)
			if pic.Large != (File{}) {
				files[pic.Large.Name] = drawn(t, size[0]*2, size[1]*2, n, false)
			}
			s.Pictures = append(s.Pictures, pic)
		}
		p.Scenes = append(p.Scenes, s)
	}
	return p, files
}

// drawings are the files drawn so far, by size, seed and whether they are grey.
var drawings = map[[4]int][]byte{}

// drawn is a JPEG of a landscape that nobody has seen.
func drawn(t testing.TB, w, h, seed int, grey bool) []byte {
	t.Helper()
	key := [4]int{w, h, seed, map[bool]int{true: 1}[grey]}
	if b := drawings[key]; b != nil {
		return b
	}
	c, g := image.NewRGBA(image.Rect(0, 0, w, h)), image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			at := color.RGBA{uint8(90 + seed*29%100), uint8(140 + y*80/h), uint8(200 + y*40/h), 255}
			if dx, dy := x-w*(seed%7+1)/9, y-h/4; dx*dx+dy*dy < h*h/100 {
				at = color.RGBA{255, 240, 180, 255}
			} else if y > h/2+(x*(seed%5+1))%(h/3+1)/2 {
				at = color.RGBA{uint8(40 + seed*37%120), uint8(90 + seed*17%100), 60, 255}
			}
			c.SetRGBA(x, y, at)
			g.Pix[y*w+x] = at.G
		}
	}
	var m image.Image = c
	if grey {
		m = g
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 80}); err != nil {
		t.Fatal(err)
	}
	drawings[key] = b.Bytes()
	return b.Bytes()
}

// folder writes files below a new folder.
func folder(t testing.TB, files map[string][]byte) string {
	t.Helper()
	dir := t.TempDir()
	for name, b := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// keep writes a picture of a test's result into the folder of GARNER_LOOK, for
// people to look at.
func keep(t testing.TB, name string, b []byte) {
	t.Helper()
	if dir := os.Getenv("GARNER_LOOK"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
