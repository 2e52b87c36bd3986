package pix

import "encoding/binary"

// This file makes a plane many times smaller by whole boxes, before the rest is
// done with weights.

// box is how many samples are added up: weights are good for some sixty.
func (a axis) box() int {
	if a.from <= 64*a.to {
		return 1
	}
	return min(a.from/(32*a.to), maxBox)
}

const maxBox = 256 // sums of a column are kept in 16 bits

// boxes writes the means of boxes of kx by ky samples; at the right and lower
// edge of what there is.
func boxes(dst, src []byte, stride, w, h, kx, ky int) {
	c := newColumns(w)
	sums := make([]uint16, w)
	cols := (w + kx - 1) / kx
	for y := 0; y < h; y += ky {
		rows := min(ky, h-y)
		c.sum(sums, src[y*stride:], stride, rows)
		out := dst[y/ky*cols:][:cols]
		for x := range out {
			box := sums[x*kx : min((x+1)*kx, w)]
			n, s := uint32(len(box)*rows), uint32(0)
			for _, v := range box {
				s += uint32(v)
			}
			out[x] = uint8((s + n/2) / n)
		}
	}
}

// columns adds up rows, eight columns at a time.
type columns struct {
	w         int
	even, odd []uint64
}

func newColumns(w int) *columns {
	n := w / 8
	return &columns{w: w, even: make([]uint64, n), odd: make([]uint64, n)}
}

// lanes picks every second byte of a word: four sums of 16 bits.
const lanes = 0x00ff00ff00ff00ff

// add adds one row; the columns after the last word are left out.
func (c *columns) add(row []byte) {
	odd := c.odd[:len(c.even)]
	row = row[:8*len(c.even)]
	for i := range c.even {
		if len(row) < 8 {
			break
		}
		v := binary.LittleEndian.Uint64(row)
		row = row[8:]
		c.even[i] += v & lanes
		odd[i] += v >> 8 & lanes
	}
}

// sum adds up columns of at most maxBox rows.
func (c *columns) sum(sums []uint16, src []byte, stride, rows int) {
	clear(c.even)
	clear(c.odd)
	for k := range rows {
		c.add(src[k*stride:])
	}
	for i, e := range c.even {
		o, s := c.odd[i], sums[8*i:][:8]
		for k := range 4 {
			s[2*k], s[2*k+1] = uint16(e>>(16*k)), uint16(o>>(16*k))
		}
	}
	for x := len(c.even) * 8; x < c.w; x++ {
		s := 0
		for k := range rows {
			s += int(src[k*stride+x])
		}
		sums[x] = uint16(s)
	}
}
