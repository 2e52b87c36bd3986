package term

import (
	"encoding/binary"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// rgba returns the canvas of a layout, four bytes a pixel: the picture scaled to
// its rectangle, and clear pixels round it. It is valid until the next call.
func (e *easel) rgba(m *jpeg.Image, at layout, l Look) []byte {
	m = pix.ResizeInto(&e.scaled, m, at.pw, at.ph)
	n := at.w * at.h * 4
	if cap(e.pixels) < n {
		e.pixels = make([]byte, n)
	}
	out := e.pixels[:n]
	if !at.fullCanvas() {
		clear(out)
	}
	t := newTables(l)
	for row := range at.ph {
		dst := out[((at.y+row)*at.w+at.x)*4:][:at.pw*4]
		luma := m.Y[row*m.YStride:][:at.pw]
		if m.Grey() {
			t.grey(dst, luma)
			continue
		}
		c := row / m.SubY * m.CStride
		w := (at.pw + m.SubX - 1) / m.SubX
		t.colour(dst, luma, m.Cb[c:][:w], m.Cr[c:][:w], m.SubX)
	}
	if l.Dim {
		strike(out, at)
	}
	return out
}

// tables hold what each sample of a plane gives to a channel, with 16 bits of
// fraction: JFIF's YCbCr (BT.601, full range) to RGB.
type tables struct {
	y                  [256]int32 // with half a step for rounding
	crR, crG, cbG, cbB [256]int32
}

func newTables(l Look) *tables {
	t := &tables{}
	scale := 65536.0
	if l.Dim {
		scale *= 0.5
	}
	for i := range 256 {
		t.y[i] = int32(float64(i)*scale) + 1<<15
		c := float64(i-128) * scale
		t.crR[i], t.crG[i] = int32(c*1.402), int32(c*-0.714136)
		t.cbG[i], t.cbB[i] = int32(c*-0.344136), int32(c*1.772)
	}
	return t
}

func (t *tables) grey(dst, luma []byte) {
	for x, v := range luma {
		binary.LittleEndian.PutUint32(dst[4*x:], uint32(t.y[v])>>16*0x010101|0xff<<24)
	}
}

func (t *tables) colour(dst, luma, cb, cr []byte, subX int) {
	if subX != 2 {
		for x, v := range luma {
			u, w := cb[x/subX], cr[x/subX]
			binary.LittleEndian.PutUint32(dst[4*x:], pixel(t.y[v], t.crR[w], t.crG[w]+t.cbG[u], t.cbB[u]))
		}
		return
	}
	// The usual subsampling, two pixels a step.
	n := len(luma) / 2
	cr = cr[:len(cb)]
	for k, u := range cb[:n] {
		w := cr[k]
		r, g, b := t.crR[w], t.crG[w]+t.cbG[u], t.cbB[u]
		l := luma[2*k : 2*k+2 : 2*k+2]
		p, q := pixel(t.y[l[0]], r, g, b), pixel(t.y[l[1]], r, g, b)
		binary.LittleEndian.PutUint64(dst[8*k:], uint64(p)|uint64(q)<<32)
	}
	if len(luma)%2 == 1 {
		u, w := cb[n], cr[n]
		binary.LittleEndian.PutUint32(dst[8*n:], pixel(t.y[luma[2*n]], t.crR[w], t.crG[w]+t.cbG[u], t.cbB[u]))
	}
}

// pixel puts a pixel together in the order of its bytes.
func pixel(y, r, g, b int32) uint32 {
	r, g, b = y+r, y+g, y+b
	if uint32(r|g|b) >= 1<<24 { // rare
		r, g, b = clamp(r), clamp(g), clamp(b)
	}
	return uint32(r)>>16 | uint32(g)>>16<<8 | uint32(b)>>16<<16 | 0xff<<24
}

func clamp(v int32) int32 { return min(max(v, 0), 1<<24-1) }

// strike draws a line from the lower left to the upper right corner of the
// picture: light, between dark edges, so that it stands out on anything.
func strike(out []byte, at layout) {
	thick := max(min(at.pw, at.ph)/150, 1) // half of the line
	edge := 0
	if thick > 1 {
		edge = thick
	}
	for row := range at.ph {
		// The line's stretch on this row.
		from := (at.ph - 1 - row) * at.pw / at.ph
		to := (at.ph - row) * at.pw / at.ph
		line := out[((at.y+row)*at.w+at.x)*4:]
		for x := max(from-thick-edge, 0); x < min(to+thick+edge, at.pw); x++ {
			v := byte(200)
			if x < from-thick || x >= to+thick {
				v = 0
			}
			line[4*x], line[4*x+1], line[4*x+2] = v, v, v
		}
	}
}
