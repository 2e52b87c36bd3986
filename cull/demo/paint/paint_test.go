package paint

import (
	"image"
	"image/color"
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance {
		t.Errorf("%s is %g, want %g within %g", what, got, want, tolerance)
	}
}

// IEC 61966-2-1, values recomputed from its formula: code 188 is half of full
// light, codes up to 10 are in the linear piece.
func TestHexIsLinearLight(t *testing.T) {
	for code, want := range map[uint32]float64{0: 0, 10: 0.00303527, 11: 0.00334654, 64: 0.05126946, 128: 0.21586050, 188: 0.50288646, 255: 1} {
		near(t, "linear light", float64(Hex(code << 8)[1]), want, 1e-6)
	}
	for i := range 256 {
		v := float64(i) / 255
		near(t, "round trip", toSRGB(toLinear(v)), v, 1e-9)
	}
	if c := Hex(0xFF8000); c[0] != 1 || c[2] != 0 || c[1] < 0.2 || c[1] > 0.23 {
		t.Errorf("0xFF8000 is %v, want red, some green, no blue", c)
	}
}

func TestColourArithmetic(t *testing.T) {
	a, b := RGB{1, 0.5, 0}, RGB{0, 0.5, 1}
	if a.Mix(b, 0) != a || a.Mix(b, 1) != b || a.Mix(b, 0.5) != (RGB{0.5, 0.5, 0.5}) {
		t.Error("mixing does not go from the first to the second colour")
	}
	if a.Mul(2) != (RGB{2, 1, 0}) || a.Times(b) != (RGB{0, 0.25, 0}) {
		t.Error("light is not scaled or filtered as it should be")
	}
}

func TestMaps(t *testing.T) {
	cases := []struct {
		name     string
		m        Map
		in, want Pt
	}{
		{"move", Place(10, 20, 1, 0, false), Pt{1, 2}, Pt{11, 22}},
		{"scale", Place(0, 0, 3, 0, false), Pt{1, 2}, Pt{3, 6}},
		{"flip", Place(5, 0, 2, 0, true), Pt{1, 1}, Pt{3, 2}},
		{"quarter turn is clockwise", Place(0, 0, 1, math.Pi/2, false), Pt{0, -1}, Pt{1, 0}},
	}
	for _, c := range cases {
		got := c.m.At(c.in)
		near(t, c.name+" x", float64(got.X), float64(c.want.X), 1e-5)
		near(t, c.name+" y", float64(got.Y), float64(c.want.Y), 1e-5)
	}
	m, n := Place(3, 4, 2, 0.7, true), Place(-1, 5, 0.5, -0.2, false)
	p := Pt{0.3, -0.8}
	got, want := m.Then(n).At(p), m.At(n.At(p))
	near(t, "Then x", float64(got.X), float64(want.X), 1e-5)
	near(t, "Then y", float64(got.Y), float64(want.Y), 1e-5)
	near(t, "Size", float64(m.Size()), 2, 1e-6)
}

// sum is the light on the canvas, in pixels of full light.
func sum(c *Canvas) float64 {
	var s float64
	for i := 1; i < len(c.Pix); i += 3 {
		s += float64(c.Pix[i])
	}
	return s
}

// The area of a filled shape is known from geometry; one canvas unit is a tenth
// of a pixel here.
func TestFillCoversTheArea(t *testing.T) {
	white := Paint{Color: RGB{1, 1, 1}, Flat: true}
	ring := Ellipse(750, 500, 200, 200).Add(Ellipse(750, 500, -100, 100))
	cases := []struct {
		name string
		path Path
		want float64
	}{
		{"box", Box(100, 200, 300, 400), 30 * 40},
		{"ellipse", Ellipse(750, 500, 300, 200), math.Pi * 30 * 20},
		{"ring", ring, math.Pi * (20*20 - 10*10)},
		{"triangle", Poly(100, 100, 500, 100, 100, 400), 40 * 30 / 2},
		{"even limb", Limb(300, 500, 100, 900, 500, 100), 60*20 + math.Pi*100},
		{"turned box", Box(-100, -100, 200, 200).On(Place(750, 500, 1, 0.6, false)), 400},
		{"half outside", Box(-300, 0, 600, 1000), 30 * 100},
		{"outside", Box(-300, 0, 200, 1000), 0},
	}
	for _, c := range cases {
		canvas := New(150, 100)
		canvas.Fill(c.path, white)
		near(t, c.name, sum(canvas), c.want, 0.01+c.want*0.04)
	}
}

func TestFillAlphaSoftAndAdd(t *testing.T) {
	full := func(p Paint) float64 {
		c := New(150, 100)
		c.Backdrop(Stop{0, RGB{0.5, 0.5, 0.5}})
		p.Color, p.Flat = RGB{1, 1, 1}, true
		c.Fill(Box(500, 300, 400, 400), p)
		return sum(c) - 150*100*0.5
	}
	near(t, "opaque", full(Paint{}), 40*40*0.5, 1)
	near(t, "half", full(Paint{Alpha: 0.5}), 40*40*0.25, 1)
	near(t, "added", full(Paint{Add: true}), 40*40, 1)
	// A soft edge moves light but keeps its amount.
	near(t, "soft", full(Paint{Soft: 40}), 40*40*0.5, 10)
}

// The side towards the key light is the brighter one, whichever that is.
func TestRoundShapesTakeTheLight(t *testing.T) {
	for _, l := range []Light{{X: -0.8, Z: 0.6}, {X: 0.8, Z: 0.6}, {Y: -0.8, Z: 0.6}} {
		c := New(150, 100)
		c.Light = l
		c.Light.Key = RGB{1, 1, 1}
		c.Fill(Ellipse(750, 500, 300, 300), Paint{Color: RGB{1, 1, 1}, Round: 200})
		at := func(x, y float32) float32 { return c.Pix[3*(int(y/10)*150+int(x/10))+1] }
		towards := at(750+220*l.X, 500+220*l.Y)
		away := at(750-220*l.X, 500-220*l.Y)
		if towards <= away+0.1 {
			t.Errorf("light from %v,%v: %g on its side, %g on the other", l.X, l.Y, towards, away)
		}
	}
}

// Shading must not show the window that a shape is drawn in: no step between
// neighbouring pixels inside a smooth shape.
func TestNoSeams(t *testing.T) {
	c := New(300, 200)
	c.Light = Light{X: -0.6, Y: -0.3, Z: 0.7, Key: RGB{1, 1, 1}, Rim: RGB{1, 1, 1}, RimX: 0.9}
	c.Fill(Box(200, 200, 1100, 600), Paint{Color: RGB{0.5, 0.5, 0.5}, Round: 250})
	for y := 60; y < 140; y++ {
		for x := 60; x < 240; x++ {
			i := 3*(y*300+x) + 1
			if d := math.Abs(float64(c.Pix[i] - c.Pix[i+3])); d > 0.03 {
				t.Fatalf("a step of %g at %d, %d", d, x, y)
			}
		}
	}
}

func TestBlurKeepsLightAndSpreadsIt(t *testing.T) {
	c := New(150, 100)
	c.Fill(Box(600, 400, 200, 200), Paint{Color: RGB{1, 1, 1}, Flat: true})
	before, peak := sum(c), c.Pix[3*(50*150+70)]
	c.Blur(60)
	near(t, "light after blur", sum(c), before, before*0.001)
	if c.Pix[3*(50*150+70)] >= peak || c.Pix[3*(50*150+55)] <= 0 {
		t.Error("blur did not move light outwards")
	}
	flat := New(90, 60)
	flat.Backdrop(Stop{0, RGB{0.3, 0.3, 0.3}})
	flat.Blur(100)
	for _, v := range flat.Pix {
		near(t, "a flat field after blur", float64(v), 0.3, 1e-4)
	}
}

func TestSmearGoesOneWay(t *testing.T) {
	c := New(150, 100)
	c.Fill(Box(740, 490, 20, 20), Paint{Color: RGB{1, 1, 1}, Flat: true})
	c.Smear(200, 0)
	right, below := c.Pix[3*(50*150+80)], c.Pix[3*(56*150+75)]
	if right <= 0 || below != 0 {
		t.Errorf("moved sideways: %g to the side, %g below", right, below)
	}
}

func TestCopyScales(t *testing.T) {
	src := New(75, 50)
	src.Backdrop(Stop{0, RGB{0, 0, 0}}, Stop{1, RGB{1, 1, 1}})
	dst := New(150, 100)
	dst.Focus = Spot{1, 2, 3}
	dst.Copy(src)
	near(t, "mean", sum(dst)/(150*100), sum(src)/(75*50), 0.002)
	for y := 1; y < 100; y++ {
		if dst.Pix[3*150*y] < dst.Pix[3*150*(y-1)] {
			t.Fatalf("a rising gradient falls at row %d", y)
		}
	}
	if dst.Focus.R != 0 {
		t.Error("the focus of an earlier frame is left")
	}
	if src.Width() != 1500 || src.Height() != 1000 || dst.Width() != 1500 {
		t.Error("units depend on the resolution")
	}
}

func TestGlowAndHaze(t *testing.T) {
	c := New(150, 100)
	c.Glow(750, 500, 100, 100, RGB{1, 1, 1})
	at := func(x int) float32 { return c.Pix[3*(50*150+x)+1] }
	if at(75) < 0.9 || at(85) >= at(80) || at(80) >= at(75) || at(75+23) != 0 {
		t.Errorf("a glow should fall off to nothing: %g %g %g %g", at(75), at(80), at(85), at(98))
	}
	c.Haze(RGB{0.5, 0.5, 0.5}, 1, 1)
	near(t, "full haze", float64(at(75)), 0.5, 1e-6)
}

func TestThumbnailIsLetterboxed(t *testing.T) {
	src := image.NewYCbCr(image.Rect(0, 0, 1620, 1080), image.YCbCrSubsampleRatio420)
	for i := range src.Y {
		src.Y[i] = 200
	}
	for i := range src.Cb {
		src.Cb[i], src.Cr[i] = 90, 160
	}
	img := Thumbnail(src, 160, 120)
	if img.Bounds().Dx() != 160 || img.Bounds().Dy() != 120 {
		t.Fatalf("size is %v", img.Bounds())
	}
	if got := img.YCbCrAt(80, 60); got != (color.YCbCr{Y: 200, Cb: 90, Cr: 160}) {
		t.Errorf("the middle is %v", got)
	}
	for _, y := range []int{0, 119} {
		if got := img.YCbCrAt(80, y); got != (color.YCbCr{Y: 0, Cb: 128, Cr: 128}) {
			t.Errorf("row %d is %v, want a black bar", y, got)
		}
	}
}
