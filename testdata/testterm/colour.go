package testterm

import (
	"fmt"
	"image/color"
)

type colourKind uint8

const (
	colourDefault colourKind = iota
	colourIndexed
	colourRGB
)

// Colour is a colour as SGR names it: the terminal's own, one of the palette
// of 256, or 24 bits. The zero value is the terminal's own.
type Colour struct {
	kind    colourKind
	r, g, b uint8 // r alone holds an index
}

// Indexed is colour n of the palette of 256.
func Indexed(n uint8) Colour { return Colour{kind: colourIndexed, r: n} }

// RGB is a colour of 24 bits.
func RGB(r, g, b uint8) Colour { return Colour{colourRGB, r, g, b} }

// IsDefault reports whether c is the terminal's own colour.
func (c Colour) IsDefault() bool { return c.kind == colourDefault }

// Index returns the place in the palette, if c has one.
func (c Colour) Index() (int, bool) { return int(c.r), c.kind == colourIndexed }

// String is "default", the palette's number, or #rrggbb.
func (c Colour) String() string {
	switch c.kind {
	case colourIndexed:
		return fmt.Sprint(c.r)
	case colourRGB:
		return fmt.Sprintf("#%02x%02x%02x", c.r, c.g, c.b)
	}
	return "default"
}

// number is the value a placeholder's colour stands for: the palette's number
// or the 24 bits as one.
func (c Colour) number() uint32 {
	switch c.kind {
	case colourIndexed:
		return uint32(c.r)
	case colourRGB:
		return uint32(c.r)<<16 | uint32(c.g)<<8 | uint32(c.b)
	}
	return 0
}

// RGBA gives the colour as xterm's default palette has it; the terminal's own
// colour is transparent, because a test cannot know it.
func (c Colour) RGBA() color.RGBA {
	switch {
	case c.kind == colourRGB:
		return color.RGBA{c.r, c.g, c.b, 255}
	case c.kind == colourDefault:
		return color.RGBA{}
	case c.r < 16:
		return base16(c.r)
	case c.r < 232: // a cube of six steps a side
		n := c.r - 16
		return color.RGBA{cubeStep(n / 36), cubeStep(n / 6 % 6), cubeStep(n % 6), 255}
	}
	grey := 8 + 10*(c.r-232)
	return color.RGBA{grey, grey, grey, 255}
}

func cubeStep(n uint8) uint8 {
	if n == 0 {
		return 0
	}
	return 55 + 40*n
}

// base16 is the first sixteen of xterm's default resources.
func base16(n uint8) color.RGBA {
	rgb := [16]uint32{
		0x000000, 0xcd0000, 0x00cd00, 0xcdcd00, 0x0000ee, 0xcd00cd, 0x00cdcd, 0xe5e5e5,
		0x7f7f7f, 0xff0000, 0x00ff00, 0xffff00, 0x5c5cff, 0xff00ff, 0x00ffff, 0xffffff,
	}[n]
	return color.RGBA{uint8(rgb >> 16), uint8(rgb >> 8), uint8(rgb), 255}
}
