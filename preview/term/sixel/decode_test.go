package sixel

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
)

// decode draws a control string as a terminal would, strictly by VT330/VT340
// Programmer Reference Manual, Volume 2, chapter 14: what the manual does not
// know, what is drawn outside of the raster attributes, and what the encoder
// promised not to write, is an error. Pixels that nobody drew are transparent.
func decode(b []byte) (*image.NRGBA, error) {
	b, ok := bytes.CutPrefix(b, []byte("\x1bP"))
	if !ok {
		return nil, fmt.Errorf("begins with %.10q", b)
	}
	b, ok = bytes.CutSuffix(b, []byte("\x1b\\"))
	if !ok {
		return nil, fmt.Errorf("does not end with ST")
	}
	d := &decoder{in: b}
	// "Device Control String": P1 is the shape of the pixels (7, 8 and 9: 1:1),
	// P2 what bits of 0 do (1: nothing).
	if p := d.numbers(); len(p) != 2 || p[0] < 7 || p[0] > 9 || p[1] != 1 {
		return nil, fmt.Errorf("parameters %v", p)
	}
	if d.next() != 'q' || d.next() != '"' {
		return nil, fmt.Errorf("no sixels, or no raster attributes")
	}
	// "Raster Attributes": Pan; Pad; Ph; Pv.
	p := d.numbers()
	if len(p) != 4 || p[0] != p[1] || p[2] < 1 || p[3] < 1 || p[2] > 2*MaxEdge || p[3] > 2*MaxEdge {
		return nil, fmt.Errorf("raster attributes %v", p)
	}
	d.out = image.NewNRGBA(image.Rect(0, 0, p[2], p[3]))
	for len(d.in) > 0 {
		if err := d.step(); err != nil {
			return nil, err
		}
	}
	if d.last == '-' {
		return nil, fmt.Errorf("a new line at the end")
	}
	return d.out, nil
}

type decoder struct {
	in      []byte
	out     *image.NRGBA
	colour  [MaxColours]*color.NRGBA
	now     *color.NRGBA
	x, y    int
	last    byte // control
	defined int
}

func (d *decoder) next() byte {
	if len(d.in) == 0 {
		return 0
	}
	b := d.in[0]
	d.in = d.in[1:]
	return b
}

func (d *decoder) numbers() (out []int) {
	for {
		n := 0
		for len(d.in) > 0 && d.in[0] >= '0' && d.in[0] <= '9' && n < 1<<20 {
			n = n*10 + int(d.next()-'0')
		}
		out = append(out, n)
		if len(d.in) == 0 || d.in[0] != ';' {
			return out
		}
		d.next()
	}
}

func (d *decoder) step() error {
	c := d.next()
	if c < '?' || c > '~' {
		d.last = c
	}
	switch {
	case c == '$': // "Graphics Carriage Return"
		d.x = 0
	case c == '-': // "Graphics New Line"
		d.x, d.y = 0, d.y+6
	case c == '!': // "Graphics Repeat Introducer"
		n := d.numbers()
		if len(n) != 1 || n[0] < 1 {
			return fmt.Errorf("repeat %v", n)
		}
		return d.sixel(d.next(), n[0])
	case c == '#': // "Color Introducer"
		p := d.numbers()
		if p[0] >= MaxColours {
			return fmt.Errorf("colour %v", p)
		}
		if len(p) == 1 {
			if d.now = d.colour[p[0]]; d.now == nil {
				return fmt.Errorf("colour %d has not been defined", p[0])
			}
			return nil
		}
		if len(p) != 5 || p[1] != 2 || max(p[2], p[3], p[4]) > 100 {
			return fmt.Errorf("colour %v", p)
		}
		channel := func(v int) uint8 { return uint8((v*255 + 50) / 100) }
		d.now = &color.NRGBA{channel(p[2]), channel(p[3]), channel(p[4]), 255}
		d.colour[p[0]] = d.now
		d.defined++
	default:
		return d.sixel(c, 1)
	}
	return nil
}

// sixel draws six pixels, the lowest bit at the top, n times.
func (d *decoder) sixel(c byte, n int) error {
	if c < '?' || c > '~' {
		return fmt.Errorf("%q is no sixel", c)
	}
	if d.x+n > d.out.Rect.Dx() {
		return fmt.Errorf("%d pixels from column %d on in a picture %d wide", n, d.x, d.out.Rect.Dx())
	}
	for range n {
		for bit := range 6 {
			if (c-'?')>>bit&1 == 0 {
				continue
			}
			if d.y+bit >= d.out.Rect.Dy() || d.now == nil {
				return fmt.Errorf("a pixel in row %d of %d, colour %v", d.y+bit, d.out.Rect.Dy(), d.now)
			}
			d.out.SetNRGBA(d.x, d.y+bit, *d.now)
		}
		d.x++
	}
	return nil
}
