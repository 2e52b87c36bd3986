package timeline

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image/color"
	"image/png"
	"io"
	"math"
	"os/exec"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// The SVG is well-formed, says what it shows, needs nothing from elsewhere and does
// nothing, whatever the names are.
func TestSVG(t *testing.T) {
	for name, d := range map[string]Day{"wedding": wedding(1000), "nothing": {}, "hostile": hostile(), "two days": twoDays()} {
		b, err := d.SVG()
		if err != nil {
			t.Fatal(err)
		}
		again, err := d.SVG()
		if err != nil || !bytes.Equal(b, again) {
			t.Errorf("%s: not the same bytes again (%v)", name, err)
		}
		if !Is(b) {
			t.Errorf("%s: not known for a timeline: %s", name, b[:min(len(b), 200)])
		}
		dec := xml.NewDecoder(bytes.NewReader(b))
		elements := map[string]int{}
		for {
			tok, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if e, ok := tok.(xml.StartElement); ok {
				elements[e.Name.Local]++
				for _, a := range e.Attr {
					if strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "href" {
						t.Errorf("%s: %s has %s", name, e.Name.Local, a.Name.Local)
					}
					if strings.ContainsAny(a.Value, "\x00") || strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
						t.Errorf("%s: %s=%q", name, a.Name.Local, a.Value)
					}
				}
			}
		}
		if elements["title"] < 1 || elements["desc"] != 1 || elements["script"] > 0 {
			t.Errorf("%s: %v", name, elements)
		}
		if strings.ContainsRune(string(b), '\u202e') || strings.ContainsRune(string(b), '\x1b') {
			t.Errorf("%s: control characters", name)
		}
	}
	b, err := wedding(1000).SVG()
	if err != nil || !strings.Contains(string(b), "<title>Church: ") || !strings.Contains(string(b), "Leaving the church, 13:4") {
		t.Errorf("%v: scenes are not told", err)
	}
}

// libxml2's reader takes the SVG.
func TestXmllintReadsIt(t *testing.T) {
	tool := testneed.Tool(t, "xmllint")
	for name, d := range map[string]Day{"wedding": wedding(500), "hostile": hostile()} {
		b, err := d.SVG()
		if err != nil {
			t.Fatal(err)
		}
		c := exec.Command(tool, "--noout", "-")
		c.Stdin = bytes.NewReader(b)
		if out, err := c.CombinedOutput(); err != nil {
			t.Errorf("%s: %v %s", name, err, out)
		}
	}
}

func TestPNG(t *testing.T) {
	for name, d := range map[string]Day{"wedding": wedding(1000), "nothing": {}, "hostile": hostile(), "short": short()} {
		for _, width := range []int{MinPNG, 1280} {
			b, err := d.PNG(width)
			if err != nil {
				t.Fatal(err)
			}
			m, err := png.Decode(bytes.NewReader(b))
			if err != nil || m.Bounds().Dx() != width || !Is(b) {
				t.Errorf("%s: %v, %v, ours: %v", name, err, m.Bounds(), Is(b))
			}
			if again, err := d.PNG(width); err != nil || !bytes.Equal(b, again) {
				t.Errorf("%s: not the same bytes again (%v)", name, err)
			}
		}
	}
	for _, width := range []int{-1, 0, MinPNG - 1, MaxPNG + 1} {
		if _, err := wedding(10).PNG(width); err == nil {
			t.Errorf("%d pixels wide", width)
		}
	}
}

// What is told apart by colour is told apart without: in grey, the three kinds of
// bars have different shares of ink.
func TestToldApartWithoutColour(t *testing.T) {
	p := paints()
	patterns := map[pattern]bool{}
	for _, c := range []class{barKept, barDropped, barOpen} {
		if patterns[p[c].pattern] {
			t.Errorf("two kinds are drawn alike")
		}
		patterns[p[c].pattern] = true
	}
}

// Text can be read on everything it stands on: a contrast of 4.5 to 1 (WCAG 2.2,
// success criterion 1.4.3).
func TestContrast(t *testing.T) {
	p := paints()
	for _, text := range []class{textTitle, textPlain, textQuiet} {
		for _, ground := range []class{paper, bandEven, bandOdd} {
			a, b := luminance(p[text].fill), luminance(p[ground].fill)
			if ratio := (max(a, b) + 0.05) / (min(a, b) + 0.05); ratio < 4.5 {
				t.Errorf("text %d on %d: %.2f", text, ground, ratio)
			}
		}
	}
}

func TestIs(t *testing.T) {
	for name, b := range map[string][]byte{"nothing": nil, "another SVG": []byte(`<svg xmlns="http://www.w3.org/2000/svg">`), "a PNG": []byte(pngSignature + "\x00\x00\x00\x0dIHDR"),
		"a text with the mark": []byte("x" + svgMark), "the mark too late": []byte("<svg " + strings.Repeat(" ", MarkWithin) + svgMark)} {
		if Is(b) {
			t.Errorf("%s is taken for a timeline", name)
		}
	}
}

func BenchmarkPNG6000(b *testing.B) {
	d := wedding(6000)
	for b.Loop() {
		if _, err := d.PNG(1920); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkText6000(b *testing.B) {
	d := wedding(6000)
	for b.Loop() {
		d.Text(160, 50, true)
	}
}

// luminance is the relative luminance of WCAG 2.2.
func luminance(c color.NRGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}
