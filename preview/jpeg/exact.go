package jpeg

import (
	"garner/preview/jpeg/internal/dct"
	"garner/preview/jpeg/internal/entropy"
)

// A transform that gives a block at a reduced size means over samples that are
// neither rounded nor clamped. Two kinds of blocks need more for the mean of
// samples as they are: those in which samples may leave the range of a byte, and
// those that reach beyond the picture. They are done by way of the full size.

// exact does such blocks anew, of those from column at on of row down.
func (g *grid) exact(dst []byte, stride int, coef []dct.Block, ends []uint8, at, down, scale int) {
	low := g.height%scale != 0 && g.height/8 == down
	narrow := -1
	if g.width%scale != 0 {
		narrow = g.width/8 - at
	}
	for i := range coef {
		switch {
		case low || i == narrow:
			var full [64]byte
			dct.Inverse8(full[:], 8, &coef[i], g.q)
			means(dst[i*8/scale:], stride, &full, scale, g.width-(at+i)*8, g.height-down*8)
		case ends[i] > 0 && clips(&coef[i], int(ends[i]), g.q):
			var full [64]byte
			dct.Inverse8(full[:], 8, &coef[i], g.q)
			means(dst[i*8/scale:], stride, &full, scale, 8, 8)
		}
	}
}

// clips reports whether a sample of a block could be out of the range of a
// byte. By T.81 A.3.3 it is at most an eighth of the DC coefficient and a
// quarter of the sum of the others away from the middle.
func clips(coef *dct.Block, end int, q *dct.Table) bool {
	sum := size(coef[0], q[0])
	for _, i := range entropy.Natural[1 : end+1] {
		sum += 2 * size(coef[i], q[i])
	}
	return sum > 8*126
}

func size(coef int16, step uint16) int {
	v := int(coef * int16(step))
	return max(v, -v)
}

// means reduces a block of which w by h samples lie in the picture.
func means(dst []byte, stride int, full *[64]byte, scale, w, h int) {
	for y := 0; y < min(h, 8); y += scale {
		rows := min(scale, h-y)
		for x := 0; x < min(w, 8); x += scale {
			cols := min(scale, w-x)
			sum := 0
			for v := range rows {
				for _, s := range full[(y+v)*8+x:][:cols] {
					sum += int(s)
				}
			}
			n := rows * cols
			dst[y/scale*stride+x/scale] = byte((sum + n/2) / n)
		}
	}
}
