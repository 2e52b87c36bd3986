package term

import "bytes"

// quadrants shows pictures of two by two pixels a cell in two colours, with the
// quadrant characters (Unicode "Block Elements", U+2596 to U+259F) beside the
// half blocks. A font may lack them.
type quadrants struct{ *blocks }

func (q *quadrants) grid(w, h float64) grid { return grid{2, 2, w / h, 2, 2} }

// quadrantRunes are the characters by the quarters in the front colour: 1 is the
// upper left, 2 the upper right, 4 and 8 those below.
var quadrantRunes = [16]string{" ", "▘", "▝", "▀", "▖", "▌", "▞", "▛", "▗", "▚", "▐", "▜", "▄", "▙", "▟", "█"}

func (q *quadrants) prepare(e *easel, s *sheet) (load, error) {
	pix := e.rgba(s.picture, s.layout, s.look)
	if e.stopped() {
		return load{}, errStopped
	}
	var l load
	out := e.out[:0]
	fg, bg := int32(-1), int32(-1)
	set := func(layer string, now *int32, c int32) {
		if *now != c {
			out = q.appendColour(append(out, layer...), c)
			*now = c
		}
	}
	e.dither.begin(s.cols)
	for row := range s.rows {
		for col := range s.cols {
			cell := cellOf(pix[(2*row*s.w+2*col)*4:], s.w*4)
			var quarters int
			var f, b int32
			if q.palette != nil {
				quarters, f, b = e.dither.cell(q.palette, &cell, row, col)
			} else {
				quarters = cell.split()
				f, b = cell.mean(quarters).pack(), cell.mean(15-quarters).pack()
			}
			switch {
			case quarters == 0 && fg == b && bg != b, quarters != 0 && (fg == b || bg == f):
				quarters, f, b = 15-quarters, b, f // the other way round takes fewer changes
			}
			if quarters != 0 {
				set(front, &fg, f)
			}
			if quarters != 15 {
				set(back, &bg, b)
			}
			out = append(out, quadrantRunes[quarters]...)
		}
		l.ends = append(l.ends, len(out))
	}
	e.out = out
	l.data, l.size = bytes.Clone(out), int64(len(out))
	return l, nil
}

// shade is red, green and blue.
type shade [3]int32

func (s shade) pack() int32 { return s[0]<<16 | s[1]<<8 | s[2] }

// cell is the four pixels of a cell, in the order of their bits.
type cell [4]shade

func cellOf(pix []byte, stride int) (c cell) {
	for i := range c {
		o := pix[i>>1*stride+i&1*4:][:3]
		c[i] = shade{int32(o[0]), int32(o[1]), int32(o[2])}
	}
	return c
}

// mean is that of some quarters, nothing for none.
func (c *cell) mean(quarters int) (s shade) {
	n := int32(0)
	for i, v := range c {
		if quarters>>i&1 != 0 {
			n++
			for k := range s {
				s[k] += v[k]
			}
		}
	}
	for k := range s {
		s[k] = (s[k] + n/2) / max(n, 1)
	}
	return s
}

// split says which quarters get the front colour so that the squares of the
// errors are smallest; 0 where two colours are hardly better than one.
func (c *cell) split() (quarters int) {
	// Less is lost the greater the squares of both sums over their counts are;
	// here in twelfths.
	over := [4]int32{0, 12, 6, 4}
	weight := shade{3, 6, 2}
	var all shade
	for _, v := range c {
		for k := range all {
			all[k] += v[k]
		}
	}
	var most int64
	for k, v := range all {
		most += int64(weight[k]) * int64(v) * int64(v) * 3
	}
	const hardly = 12 * 4 * 11 * 2 * 2 // two steps of each channel of each pixel
	most += hardly
	for bits := 1; bits < 8; bits++ { // 8 to 14 are the same the other way round
		var part shade
		n := 0
		for i, v := range c[:3] {
			if bits>>i&1 != 0 {
				n++
				for k := range part {
					part[k] += v[k]
				}
			}
		}
		var now int64
		for k, v := range part {
			rest := int64(all[k] - v)
			now += int64(weight[k]) * (int64(v)*int64(v)*int64(over[n]) + rest*rest*int64(over[4-n]))
		}
		if now > most {
			quarters, most = bits, now
		}
	}
	return quarters
}
