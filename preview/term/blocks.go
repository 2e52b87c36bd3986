package term

import "strconv"

// blocks writes a picture of two pixels a cell: the upper half block in the
// upper one's colour on the lower one's. Colours are set only where they change.
func (p *Painter) blocks(pix []byte, at place) {
	fg, bg := int32(-1), int32(-1)
	stride := at.w * 3
	for row := range at.Rows {
		p.move(at.Col, at.Row+row)
		up, down := pix[2*row*stride:][:stride], pix[(2*row+1)*stride:][:stride]
		for x := range at.Cols {
			a, b := p.pixel(up[3*x:]), p.pixel(down[3*x:])
			switch {
			case a == b:
				if bg == a {
					p.out = append(p.out, ' ')
					continue
				}
				if fg == a {
					p.out = append(p.out, "█"...)
					continue
				}
				p.setColour(48, b)
				bg = b
				p.out = append(p.out, ' ')
				continue
			case fg == b || bg == a: // the other half takes fewer changes
				if fg != b {
					p.setColour(38, b)
					fg = b
				}
				if bg != a {
					p.setColour(48, a)
					bg = a
				}
				p.out = append(p.out, "▄"...)
				continue
			}
			if fg != a {
				p.setColour(38, a)
				fg = a
			}
			if bg != b {
				p.setColour(48, b)
				bg = b
			}
			p.out = append(p.out, "▀"...)
		}
	}
	p.out = append(p.out, "\x1b[m"...)
}

// pixel returns a colour: 24 bits, or a number of the palette's.
func (p *Painter) pixel(o []byte) int32 {
	if p.colour != nil {
		return p.colour.nearest(o[0], o[1], o[2])
	}
	return int32(o[0])<<16 | int32(o[1])<<8 | int32(o[2])
}

func (p *Painter) setColour(layer int64, c int32) {
	out := append(p.out, "\x1b["...)
	out = strconv.AppendInt(out, layer, 10)
	if p.colour != nil {
		out = append(out, ";5;"...)
		out = strconv.AppendInt(out, int64(c), 10)
	} else {
		out = append(out, ";2;"...)
		out = strconv.AppendInt(out, int64(c>>16), 10)
		out = append(out, ';')
		out = strconv.AppendInt(out, int64(c>>8&255), 10)
		out = append(out, ';')
		out = strconv.AppendInt(out, int64(c&255), 10)
	}
	p.out = append(out, 'm')
}
