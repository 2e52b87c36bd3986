package term

import (
	"bytes"
	"encoding/binary"
	"strconv"
)

const (
	front = "\x1b[38;"
	back  = "\x1b[48;"
)

// blocks shows pictures of two pixels a cell, the upper half block in the upper
// one's colour on the lower one's, on every terminal.
type blocks struct {
	palette *palette    // nil: 24-bit colours
	digits  [256]string // decimal numbers
}

func newBlocks(colors256 bool) *blocks {
	b := &blocks{}
	for i := range b.digits {
		b.digits[i] = strconv.Itoa(i)
	}
	if colors256 {
		b.palette = newPalette()
	}
	return b
}

func (b *blocks) grid(w, h float64) grid { return grid{1, 2, w / (h / 2), 1, 2} }

func (b *blocks) show(o *ink, s *sheet, at spot) {
	at.clear(o)
	o.rows(s.load, at.cells)
	o.text("\x1b[m")
}

// prepare writes the cells. Colours are set only where they change.
func (b *blocks) prepare(e *easel, s *sheet) (load, error) {
	pix := e.rgba(s.picture, s.layout, s.look)
	if e.stopped() {
		return load{}, errStopped
	}
	colours := b.colours(e, pix, s.layout)
	var l load
	out := e.out[:0]
	fg, bg := int32(-1), int32(-1)
	set := func(layer string, now *int32, c int32) {
		if *now != c {
			out = b.appendColour(append(out, layer...), c)
			*now = c
		}
	}
	for row := range s.rows {
		up, down := colours[2*row*s.w:][:s.w], colours[(2*row+1)*s.w:][:s.w]
		for x, a := range up {
			b := down[x]
			switch {
			case a == b && fg == a && bg != a:
				out = append(out, "█"...)
			case a == b:
				set(back, &bg, a)
				out = append(out, ' ')
			case fg == b || bg == a: // the other half takes fewer changes
				set(front, &fg, b)
				set(back, &bg, a)
				out = append(out, "▄"...)
			default:
				set(front, &fg, a)
				set(back, &bg, b)
				out = append(out, "▀"...)
			}
		}
		l.ends = append(l.ends, len(out))
	}
	e.out = out
	l.data, l.size = bytes.Clone(out), int64(len(out))
	return l, nil
}

// colours returns each pixel's colour: 24 bits, or a number of the palette's.
func (b *blocks) colours(e *easel, pix []byte, l layout) []int32 {
	out := e.half[:0]
	if b.palette != nil {
		for _, c := range e.dither.quantise(b.palette, pix, l.w, l.h) {
			out = append(out, int32(c))
		}
	} else {
		for ; len(pix) >= 4; pix = pix[4:] {
			out = append(out, int32(binary.BigEndian.Uint32(pix)>>8))
		}
	}
	e.half = out
	return out
}

func (b *blocks) appendColour(out []byte, c int32) []byte {
	if b.palette != nil {
		out = append(out, "5;"...)
		out = append(out, b.digits[c&255]...)
	} else {
		out = append(out, "2;"...)
		out = append(out, b.digits[c>>16&255]...)
		out = append(out, ';')
		out = append(out, b.digits[c>>8&255]...)
		out = append(out, ';')
		out = append(out, b.digits[c&255]...)
	}
	return append(out, 'm')
}
