package jpeg

import (
	"bytes"
	"encoding/binary"

	"garner/preview/jpeg/internal/dct"
	"garner/preview/jpeg/internal/entropy"
	"garner/preview/jpeg/internal/reach"
)

// A transform that gives a block at a reduced size means over samples that are
// neither rounded nor clamped. Two kinds of blocks need more for the mean of
// samples as they are: those in which samples may leave the range of a byte, and
// those that reach beyond the picture. They are done by way of the full size.

// exact does such blocks anew, of those from column at on of row down. It uses
// as many bytes of wild as there are blocks.
func (g *grid) exact(dst []byte, stride int, coef []dct.Block, last, wild []byte, at, down, scale int) {
	wild = wild[:len(coef)]
	reach.Wild(wild, coef, last, (*[64]uint16)(g.q), &entropy.Natural)
	if g.height%scale != 0 && g.height/8 == down {
		for i := range wild {
			wild[i] = 1
		}
	}
	if i := g.width/8 - at; g.width%scale != 0 && i >= 0 && i < len(wild) {
		wild[i] = 1
	}
	for i := 0; ; i++ {
		next := bytes.IndexByte(wild[i:], 1)
		if next < 0 {
			return
		}
		i += next
		var full [64]byte
		dct.Inverse8(full[:], 8, &coef[i], g.q)
		w, h := g.width-(at+i)*8, g.height-down*8
		switch d := dst[i*8/scale:]; {
		case w < 8 || h < 8:
			means(d, stride, &full, scale, w, h)
		case scale == 2:
			halve(d, stride, &full)
		default:
			quarter(d, stride, &full)
		}
	}
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

// pairs are the sums of two samples each, of eight in a row: four numbers of 16
// bits.
func pairs(row uint64) uint64 {
	const even = 0x00FF00FF00FF00FF
	return row&even + row>>8&even
}

// halve is means with a scale of 2 for a whole block.
func halve(dst []byte, stride int, full *[64]byte) {
	for y := range 4 {
		s := pairs(binary.LittleEndian.Uint64(full[16*y:])) + pairs(binary.LittleEndian.Uint64(full[16*y+8:]))
		s = (s + 0x0002000200020002) >> 2 & 0x00FF00FF00FF00FF
		s |= s >> 8
		binary.LittleEndian.PutUint32(dst[y*stride:], uint32(s&0xFFFF|s>>16&0xFFFF0000))
	}
}

// quarter is means with a scale of 4 for a whole block.
func quarter(dst []byte, stride int, full *[64]byte) {
	for y := range 2 {
		s := uint64(0)
		for v := range 4 {
			s += pairs(binary.LittleEndian.Uint64(full[32*y+8*v:]))
		}
		s += s >> 16
		dst[y*stride] = byte((s&0xFFFF + 8) >> 4)
		dst[y*stride+1] = byte((s>>32&0xFFFF + 8) >> 4)
	}
}
