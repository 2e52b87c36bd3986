package term

import (
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// rgb returns the canvas of a place as rows of 3 or 4 bytes a pixel: the picture
// scaled to its rectangle, and clear pixels round it.
func (p *Painter) rgb(m *jpeg.Image, at place, l Look, depth int) []byte {
	m = pix.ResizeInto(&p.scaled, m, at.pw, at.ph)
	n := at.w * at.h * depth
	if cap(p.pixels) < n {
		p.pixels = make([]byte, n)
	}
	out := p.pixels[:n]
	if !at.fullCanvas {
		clear(out)
	}
	var y, c [256]int32
	curves(l, &y, &c)
	stride := at.w * depth
	for row := range at.ph {
		dst := out[(at.y+row)*stride+at.x*depth:][:at.pw*depth]
		luma := m.Y[row*m.YStride:][:at.pw]
		switch {
		case m.Grey():
			greyRow(dst, luma, &y, depth)
		default:
			at := row / m.SubY * m.CStride
			colourRow(dst, luma, m.Cb[at:], m.Cr[at:], m.SubX, &y, &c, depth)
		}
	}
	if l.Dim {
		strike(out, at, depth)
	}
	return out
}

// curves are luma and chroma of each sample at 16 bits of fraction: full, or
// darker.
func curves(l Look, y, c *[256]int32) {
	num := int32(1 << 16)
	if l.Dim {
		num = num * 2 / 5
	}
	for i := range y {
		y[i] = int32(i)*num + 1<<15
		c[i] = (int32(i) - 128) * (num >> 8)
	}
}

func greyRow(dst, luma []byte, curve *[256]int32, depth int) {
	for x, v := range luma {
		g := byte(curve[v] >> 16)
		o := dst[x*depth:][:depth]
		o[0], o[1], o[2] = g, g, g
		if depth == 4 {
			o[3] = 255
		}
	}
}

// colourRow converts JFIF's YCbCr (BT.601, full range) to RGB. Chroma has 8 bits
// of fraction, the factors have 8.
func colourRow(dst, luma, cb, cr []byte, subX int, y, c *[256]int32, depth int) {
	const crR, cbG, crG, cbB = 359, 88, 183, 454 // 1.402 0.344136 0.714136 1.772
	next, k := 0, 0
	var r, g, b int32
	for x, v := range luma {
		if x == next {
			u, w := c[cb[k]], c[cr[k]]
			r, g, b = w*crR, u*cbG+w*crG, u*cbB
			next += subX
			k++
		}
		l := y[v]
		o := dst[x*depth:][:depth]
		o[0], o[1], o[2] = clamp(l+r), clamp(l-g), clamp(l+b)
		if depth == 4 {
			o[3] = 255
		}
	}
}

// clamp takes 8.16 bits to a byte.
func clamp(v int32) byte {
	if uint32(v) < 1<<24 {
		return byte(v >> 16)
	}
	return byte(^(v >> 31))
}

// strike draws a line from the lower left to the upper right corner of the
// picture: light, between dark edges, so that it stands out on anything.
func strike(out []byte, at place, depth int) {
	thick := max(min(at.pw, at.ph)/150, 1) // half of the line
	for row := range at.ph {
		// The line's stretch on this row, from its lower to its upper end.
		from := (at.ph - 1 - row) * at.pw / at.ph
		to := (at.ph - row) * at.pw / at.ph
		line := out[((at.y+row)*at.w+at.x)*depth:]
		edge := 0
		if thick > 1 {
			edge = thick
		}
		for x := max(from-thick-edge, 0); x < min(to+thick+edge, at.pw); x++ {
			v := byte(200)
			if x < from-thick || x >= to+thick {
				v = 0
			}
			o := line[x*depth:][:3]
			o[0], o[1], o[2] = v, v, v
		}
	}
}
