package pane

import (
	"fmt"
	"math"
	"strconv"
	"testing"
)

// TestContrast holds every text colour against the backgrounds that terminals
// have. Contrast is that of WCAG 2.2 (definitions of "relative luminance" and
// "contrast ratio"); 4.5 is its level for text (1.4.3), 3 its level for what is
// not to be read as text (1.4.11), which is enough for what stands back.
func TestContrast(t *testing.T) {
	c := colours()
	grounds := map[bool][]string{
		true:  {"#000000", "#161616", "#1E1E1E", "#282828"},
		false: {"#FFFFFF", "#FDF6EE"},
	}
	for _, text := range []struct {
		name  string
		hue   hue
		least float64
	}{
		{"kept", c.kept, 7}, {"dropped", c.dropped, 3}, {"quiet", c.quiet, 4.5}, {"accent", c.accent, 4.5}, {"part", c.part, 4.5},
		{"warn", c.warn, 4.5}, {"bar", c.bar, 4.5},
	} {
		for dark, list := range grounds {
			fore, here := side(text.hue, dark), side(c.here, dark)
			for _, ground := range list {
				check(t, text.name, fore.true, ground, text.least)
				check(t, text.name, fore.table, ground, text.least)
			}
			// Where one is, what stands back may stand back a little further.
			check(t, text.name+" where one is", fore.true, here.true, min(text.least, 3)-0.2)
			check(t, text.name+" where one is", fore.table, here.table, min(text.least, 3)-0.5)
		}
	}
	for dark := range grounds {
		band, text, dim := side(c.band, dark), side(c.bandText, dark), side(c.bandDim, dark)
		for _, pair := range [][2]string{{text.true, band.true}, {text.table, band.table}, {dim.true, band.true}, {dim.table, band.table}} {
			check(t, "the large question", pair[0], pair[1], 4.5)
		}
		// The bright one is brighter than quiet text, and that than the dim one.
		for _, ground := range grounds[dark] {
			k, q, d := contrast(t, side(c.kept, dark).true, ground), contrast(t, side(c.quiet, dark).true, ground), contrast(t, side(c.dropped, dark).true, ground)
			if k < q*1.5 || q < d*1.2 {
				t.Errorf("on %s: kept %.1f, quiet %.1f, dropped %.1f", ground, k, q, d)
			}
		}
	}
}

func side(h hue, dark bool) shade {
	if dark {
		return h.dark
	}
	return h.light
}

func check(t *testing.T, name, fore, back string, least float64) {
	t.Helper()
	if got := contrast(t, fore, back); got < least {
		t.Errorf("%s: %s on %s has a contrast of %.2f, less than %.1f", name, fore, back, got, least)
	}
}

func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	var r, g, b int
	if n, err := strconv.Atoi(colour); err == nil {
		r, g, b = tableColour(n)
	} else if _, err := fmt.Sscanf(colour, "#%02X%02X%02X", &r, &g, &b); err != nil {
		t.Fatalf("colour %q: %v", colour, err)
	}
	linear := func(v int) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
}

// tableColour is a colour of the 256-colour table from 16 on (xterm's
// 256colres.h: a cube with the steps 0, 95, 135, 175, 215, 255, then 24 greys).
func tableColour(n int) (r, g, b int) {
	if n >= 232 {
		v := 8 + 10*(n-232)
		return v, v, v
	}
	step := func(i int) int {
		if i == 0 {
			return 0
		}
		return 55 + 40*i
	}
	n -= 16
	return step(n / 36), step(n / 6 % 6), step(n % 6)
}
