package term

import "encoding/binary"

const (
	front = "\x1b[38;"
	back  = "\x1b[48;"
)

// blocks writes a picture of two pixels a cell: the upper half block in the
// upper one's colour on the lower one's. Colours are set only where they change.
func (p *Painter) blocks(pix []byte, at place) {
	colours := p.colours(pix, at)
	fg, bg := int32(-1), int32(-1)
	set := func(layer string, now *int32, c int32) {
		if *now != c {
			p.setColour(layer, c)
			*now = c
		}
	}
	for row := range at.Rows {
		p.move(at.Col, at.Row+row)
		up, down := colours[2*row*at.w:][:at.w], colours[(2*row+1)*at.w:][:at.w]
		for x, a := range up {
			b := down[x]
			switch {
			case a == b && fg == a && bg != a:
				p.out = append(p.out, "█"...)
			case a == b:
				set(back, &bg, a)
				p.out = append(p.out, ' ')
			case fg == b || bg == a: // the other half takes fewer changes
				set(front, &fg, b)
				set(back, &bg, a)
				p.out = append(p.out, "▄"...)
			default:
				set(front, &fg, a)
				set(back, &bg, b)
				p.out = append(p.out, "▀"...)
			}
		}
	}
	p.out = append(p.out, "\x1b[m"...)
}

// colours returns each pixel's colour: 24 bits, or a number of the palette's.
func (p *Painter) colours(pix []byte, at place) []int32 {
	out := p.half[:0]
	if p.colour != nil {
		for _, c := range p.colour.quantise(pix, at.w, at.h) {
			out = append(out, int32(c))
		}
	} else {
		for ; len(pix) >= 4; pix = pix[4:] {
			out = append(out, int32(binary.BigEndian.Uint32(pix)>>8))
		}
	}
	p.half = out
	return out
}

func (p *Painter) setColour(layer string, c int32) {
	out := append(p.out, layer...)
	if p.colour != nil {
		out = append(out, "5;"...)
		out = append(out, p.digits[c&255]...)
	} else {
		out = append(out, "2;"...)
		out = append(out, p.digits[c>>16&255]...)
		out = append(out, ';')
		out = append(out, p.digits[c>>8&255]...)
		out = append(out, ';')
		out = append(out, p.digits[c&255]...)
	}
	p.out = append(out, 'm')
}
