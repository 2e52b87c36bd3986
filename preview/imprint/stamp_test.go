package imprint

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"

	"golang.org/x/image/font/gofont/goregular"

	"garner/preview/icc"
)

func mark(t testing.TB, s Stamp, w, h int) *Mark {
	t.Helper()
	p, err := NewStamper(s)
	if err != nil {
		t.Fatal(err)
	}
	m, err := p.Mark(w, h, icc.SpaceSRGB)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// stamped is an even picture of one code with a stamp, as its codes.
func stamped(m *Mark, w, h int, code byte) []byte {
	b := bytes.Repeat([]byte{code}, 3*w*h)
	for y := range h {
		m.Onto(y, b[3*w*y:][:3*w])
	}
	return b
}

// inked is the box around what differs from code by more than most.
func inked(b []byte, w int, code byte, most int) (r image.Rectangle) {
	for i := 0; i < len(b); i += 3 {
		if d := int(b[i]) - int(code); max(d, -d) > most {
			r = r.Union(image.Rect(i/3%w, i/3/w, i/3%w+1, i/3/w+1))
		}
	}
	return r
}

func pngOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// bars are three bars of a colour on nothing, 4:1.
func bars(c color.NRGBA) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, 200, 50))
	for y := range 50 {
		for x := range 200 {
			if y/10%2 == 0 {
				m.SetNRGBA(x, y, c)
			}
		}
	}
	return m
}

var white = color.NRGBA{255, 255, 255, 255}

// A stamp stands where it was asked to: its ink ends at the margins, to a pixel.
func TestCorners(t *testing.T) {
	const w, h, margin = 600, 400, 20
	logo := pngOf(t, bars(white))
	for _, s := range []Stamp{{Text: "HEH"}, {Picture: logo}} {
		for c := range Corner(len(cornerNames)) {
			s.Size, s.Margin, s.Opacity, s.Corner, s.Plain = 0.1, margin/400.0, 1, c, true
			r := inked(stamped(mark(t, s, w, h), w, h, 0), w, 0, 40)
			near := func(a, b int) bool { return a-b <= 1 && b-a <= 1 }
			ok := true
			switch c {
			case BottomRight, TopRight:
				ok = near(r.Max.X, w-margin)
			case BottomLeft, TopLeft:
				ok = near(r.Min.X, margin)
			default:
				ok = near(r.Min.X, w-r.Max.X)
			}
			switch c {
			case BottomRight, BottomLeft, Bottom:
				ok = ok && near(r.Max.Y, h-margin)
			case TopRight, TopLeft, Top:
				ok = ok && near(r.Min.Y, margin)
			default:
				ok = ok && near(r.Min.Y, h-r.Max.Y)
			}
			if !ok || r.Empty() {
				t.Errorf("%s: ink is in %v of %dx%d", c, r, w, h)
			}
			if got, ok := ParseCorner(c.String()); !ok || got != c {
				t.Errorf("%s is parsed as %v", c, got)
			}
		}
	}
	if _, ok := ParseCorner("left"); ok {
		t.Error("a corner that there is not")
	}
}

// Size is a share of the edge that was asked for. An H of the Go fonts is about 0.7
// em high (723 of 1000 units and more for its outline), a PNG all of it.
func TestShares(t *testing.T) {
	for _, c := range []struct {
		s      Stamp
		w, h   int
		height float64
	}{
		{Stamp{Text: "H", Size: 0.1}, 800, 400, 40 * 0.71},
		{Stamp{Text: "H", Size: 0.1, Edge: LongEdge}, 800, 400, 80 * 0.71},
		{Stamp{Text: "H", Size: 0.1}, 400, 800, 40 * 0.71},
		{Stamp{Picture: pngOf(t, bars(white)), Size: 0.1}, 800, 400, 40},
		{Stamp{Picture: pngOf(t, bars(white)), Size: 0.1, Edge: LongEdge}, 800, 400, 80},
	} {
		c.s.Opacity, c.s.Plain = 1, true
		r := inked(stamped(mark(t, c.s, c.w, c.h), c.w, c.h, 0), c.w, 0, 60)
		if d := float64(r.Dy()) - c.height; math.Abs(d) > 0.04*c.height+1 {
			t.Errorf("%q in %dx%d, %s edge: %d high, want about %.0f", c.s.Text, c.w, c.h, c.s.Edge, r.Dy(), c.height)
		}
	}
}

// What is too wide is made smaller, and stays inside the margins.
func TestTooWideIsMadeSmaller(t *testing.T) {
	wide := Stamp{Text: strings.Repeat("wide ", 20), Size: 0.5, Margin: 0.05, Opacity: 1, Plain: true}
	for _, size := range [][2]int{{500, 300}, {300, 500}, {64, 64}, {9, 300}} {
		w, h := size[0], size[1]
		r := inked(stamped(mark(t, wide, w, h), w, h, 0), w, 0, 0)
		if margin := int(math.Round(0.05 * float64(min(w, h)))); r.Min.X < margin || r.Max.X > w-margin {
			t.Errorf("%v: ink is in %v", size, r)
		}
	}
	for _, size := range [][2]int{{1, 1}, {1, 9000}, {9000, 1}, {2, 3}, {65535, 2}} { // nothing to see, but nothing wrong
		for _, s := range []Stamp{wide, {Picture: pngOf(t, bars(white)), Size: 1, Margin: 0.49, Opacity: 0.5, Edge: LongEdge}} {
			m := mark(t, s, size[0], size[1])
			if b := m.Bounds(); !b.In(image.Rect(0, 0, size[0], size[1])) {
				t.Errorf("%v: stamp in %v", size, b)
			}
			stamped(m, size[0], 1, 7)
		}
	}
}

// The contrast between letters and what is around them, as ratio of WCAG 2.2 of
// relative luminances, is at least 3 (its 1.4.11, for what is not running text) on
// white, black and mid-grey at the opacity that is proposed.
func TestReadableOnLightAndDark(t *testing.T) {
	const w, h = 900, 600
	light := func(code byte) float64 { return icc.SpaceSRGB.Light(float64(code)/255) + 0.05 }
	for _, dark := range []bool{false, true} {
		m := mark(t, Stamp{Text: "© Anna Grün 2026", Size: 0.05, Margin: 0.03, Opacity: 0.85, Dark: dark}, w, h)
		for _, code := range []byte{255, 250, 128, 60, 8, 0} {
			low, high := byte(255), byte(0)
			for _, v := range stamped(m, w, h, code) {
				low, high = min(low, v), max(high, v)
			}
			if ratio := light(high) / light(low); ratio < 3 {
				t.Errorf("dark %v on %d: %d to %d, contrast %.2f", dark, code, low, high, ratio)
			}
		}
	}
	// A light logo gets a dark outline, a dark one a light one, and a whole picture none.
	for _, c := range []struct {
		logo image.Image
		code byte
		want bool
	}{
		{bars(white), 255, true}, {bars(color.NRGBA{0, 0, 0, 255}), 0, true}, {image.NewGray(image.Rect(0, 0, 90, 30)), 0, false},
	} {
		m := mark(t, Stamp{Picture: pngOf(t, c.logo), Size: 0.1, Margin: 0.03, Opacity: 1}, w, h)
		if got := !inked(stamped(m, w, h, c.code), w, c.code, 60).Empty(); got != c.want {
			t.Errorf("a logo on its own colour %d can be seen: %v", c.code, got)
		}
	}
}

// Opacity is the share of a stamp in the coded values.
func TestOpacity(t *testing.T) {
	full := image.NewNRGBA(image.Rect(0, 0, 10, 10))
	for i := range full.Pix {
		full.Pix[i] = 255
	}
	for _, c := range []struct {
		opacity    float64
		code, want byte
	}{{1, 0, 255}, {0.5, 0, 128}, {0.5, 100, 178}, {0.25, 200, 214}, {0.001, 0, 0}} {
		m := mark(t, Stamp{Picture: pngOf(t, full), Size: 0.5, Opacity: c.opacity, Corner: Centre}, 40, 40)
		if got := stamped(m, 40, 40, c.code)[3*(20*40+20)]; got != c.want {
			t.Errorf("%v of white on %d is %d, want %d", c.opacity, c.code, got, c.want)
		}
	}
}

// A colour of a PNG is that of sRGB in every space: (255,0,0) of sRGB is (219,0,0)
// in Adobe RGB (light 1/1.398283, gamma 563/256) and (234,51,35) in Display P3
// (widely published; worked out from the primaries here).
func TestStampColours(t *testing.T) {
	red := image.NewNRGBA(image.Rect(0, 0, 10, 10))
	for i := range red.Pix {
		red.Pix[i] = []byte{255, 0, 0, 255}[i%4]
	}
	p, err := NewStamper(Stamp{Picture: pngOf(t, red), Size: 0.5, Opacity: 1, Corner: Centre})
	if err != nil {
		t.Fatal(err)
	}
	for space, want := range map[icc.Space][3]byte{icc.SpaceSRGB: {255, 0, 0}, icc.SpaceAdobeRGB: {219, 0, 0}, icc.SpaceDisplayP3: {234, 51, 35}} {
		m, err := p.Mark(40, 40, space)
		if err != nil {
			t.Fatal(err)
		}
		at := stamped(m, 40, 40, 0)[3*(20*40+20):][:3]
		for c := range want {
			if d := int(at[c]) - int(want[c]); max(d, -d) > 1 {
				t.Errorf("space %d: red is %v, want %v", space, at, want)
			}
		}
	}
}

// All kinds of PNG that hold the same picture give the same stamp.
func TestKindsOfPNG(t *testing.T) {
	src := bars(color.NRGBA{200, 100, 50, 255})
	palette := image.NewPaletted(src.Rect, color.Palette{color.NRGBA{}, color.NRGBA{200, 100, 50, 255}})
	deep := image.NewNRGBA64(src.Rect)
	moved := image.NewNRGBA(src.Rect.Add(image.Pt(40, 30)))
	for y := range 50 {
		for x := range 200 {
			palette.Set(x, y, src.At(x, y))
			deep.Set(x, y, src.At(x, y))
			moved.Set(x+40, y+30, src.At(x, y))
		}
	}
	want := mark(t, Stamp{Picture: pngOf(t, src), Size: 0.3, Opacity: 0.7}, 300, 200)
	for i, m := range []image.Image{palette, deep, moved} {
		got := mark(t, Stamp{Picture: pngOf(t, m), Size: 0.3, Opacity: 0.7}, 300, 200)
		if got.at != want.at || !bytes.Equal(got.pix, want.pix) {
			t.Errorf("kind %d gives another stamp", i)
		}
	}
}

// A font of the person is used, by itself or in a collection, and the built-in one
// has the letters of European names.
func TestFonts(t *testing.T) {
	s := Stamp{Text: "Żółć & Größe", Size: 0.1, Opacity: 1}
	builtin := mark(t, s, 400, 300)
	s.Font = goregular.TTF
	other := mark(t, s, 400, 300)
	if bytes.Equal(builtin.pix, other.pix) {
		t.Error("the person's font makes no difference")
	}
	for _, text := range []string{"© 2026 Łukasz Čapek", "Ærø Þór Ñandú", "Ωμέγα Привет", "e\u0301", "a\tb", "one\r\ntwo\u2028three"} {
		if _, err := NewStamper(Stamp{Text: text, Size: 0.1, Opacity: 1}); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestStampRefuses(t *testing.T) {
	logo := pngOf(t, bars(white))
	good := Stamp{Text: "text", Size: 0.1, Opacity: 1}
	with := func(change func(s *Stamp)) Stamp {
		s := good
		change(&s)
		return s
	}
	huge := bytes.Clone(logo)
	copy(huge[16:], "\x00\x00\xFF\xFF\x00\x00\xFF\xFF") // width and height of the header, whose sum is then wrong
	for name, s := range map[string]Stamp{
		"nothing":       with(func(s *Stamp) { s.Text = "" }),
		"both":          with(func(s *Stamp) { s.Picture = logo }),
		"blank":         with(func(s *Stamp) { s.Text = " \n\u00A0 " }),
		"controls":      with(func(s *Stamp) { s.Text = "\x00\x1B\x7F" }),
		"long":          with(func(s *Stamp) { s.Text = strings.Repeat("x", 201) }),
		"lines":         with(func(s *Stamp) { s.Text = strings.Repeat("x\n", 5) + "x" }),
		"no letter":     with(func(s *Stamp) { s.Text = "写真" }),
		"joined script": with(func(s *Stamp) { s.Text = "صورة" }),
		"size 0":        with(func(s *Stamp) { s.Size = 0 }),
		"size NaN":      with(func(s *Stamp) { s.Size = math.NaN() }),
		"size 2":        with(func(s *Stamp) { s.Size = 2 }),
		"margin":        with(func(s *Stamp) { s.Margin = 0.5 }),
		"margin NaN":    with(func(s *Stamp) { s.Margin = math.NaN() }),
		"opacity":       with(func(s *Stamp) { s.Opacity = 1.1 }),
		"corner":        with(func(s *Stamp) { s.Corner = 9 }),
		"font":          with(func(s *Stamp) { s.Font = []byte("no font") }),
		"empty font":    with(func(s *Stamp) { s.Font = []byte{} }),
		"cut font":      with(func(s *Stamp) { s.Font = goregular.TTF[:3000] }),
		"no PNG":        {Picture: []byte("GIF89a"), Size: 0.1, Opacity: 1},
		"empty PNG":     {Picture: []byte{}, Size: 0.1, Opacity: 1},
		"cut PNG":       {Picture: logo[:len(logo)-30], Size: 0.1, Opacity: 1},
		"large PNG":     {Picture: huge, Size: 0.1, Opacity: 1},
		"many pixels":   {Picture: pngOf(t, image.NewGray(image.Rect(0, 0, 8192, 2049))), Size: 0.1, Opacity: 1},
	} {
		p, err := NewStamper(s)
		var say *StampError
		if p != nil || !errors.As(err, &say) || say.What == "" || strings.ContainsAny(err.Error(), "\n\x00\x1B") {
			t.Errorf("%s: %v", name, err)
		}
	}
	p, err := NewStamper(with(func(s *Stamp) { s.Size = 1 }))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Mark(60000, 60000, icc.SpaceSRGB); err == nil {
		t.Error("a stamp of a thousand million pixels is made")
	}
}

func ExampleParseCorner() {
	c, ok := ParseCorner("bottom-right")
	fmt.Println(c, ok)
	// Output: bottom-right true
}
