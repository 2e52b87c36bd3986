package sixel

import "encoding/binary"

// band is six rows of pixels, as the colours that they get.
type band struct {
	rows [6][]uint32 // places in marks
	// marks are what is to be drawn in each colour, width + 1 places for each:
	// their number, then of each column where there is something its number,
	// from 1, shifted by six, and its six bits. Behind the last colour there
	// is a place for holes.
	marks  []uint32
	stride int // width + 1
	left   int // pixels in front of the columns
	holes  bool
	runs   []run
}

// size makes room for a picture's bands.
func (b *band) size(p *Picture, colours int) {
	b.stride, b.left, b.holes = p.Width+1, p.Left, p.Holes
	for k := range b.rows {
		b.rows[k] = room(b.rows[k], p.Width)
	}
	b.marks = room(b.marks, b.stride*(colours+1))
	for n := len(b.runs); n <= p.Left+p.Width; n++ {
		b.runs = append(b.runs, newRun(n))
	}
}

func room[E any](s []E, n int) []E {
	if cap(s) < n {
		return make([]E, n)
	}
	return s[:n]
}

// pick gives the pixels of some rows their colours.
func (b *band) pick(t *table, n *noise, m *Picture, y, rows int) {
	hole := uint32(len(b.marks) - b.stride)
	for k, out := range b.rows[:rows] {
		src := m.Pix[(y+k)*m.Stride:][:m.Width*4]
		t.colours(out, src, &n.rows[(y+k)&7])
		if b.holes {
			for x := range out {
				if src[4*x+3] == 0 {
					out[x] = hole
				}
			}
		}
	}
}

// draw writes the band whose rows begin at the bit first.
func (b *band) draw(dst []byte, first, rows int) []byte {
	for at := 0; at < len(b.marks); at += b.stride {
		b.marks[at] = 0
	}
	b.collect(first, rows)
	colours := b.marks[:len(b.marks)-b.stride]
	any := false
	if !b.holes {
		// The colour with the most to say says that it is everywhere; the
		// others are drawn over it.
		under, most := 0, uint32(0)
		for at := 0; at < len(colours); at += b.stride {
			if n := colours[at]; n > most {
				under, most = at, n
			}
		}
		dst = number(append(dst, '#'), under/b.stride)
		dst = b.repeat(dst, '?', b.left)
		dst = b.repeat(dst, '?'+byte((1<<rows-1)<<first), b.stride-1)
		colours[under] = 0
		any = true
	}
	for c := 0; c*b.stride < len(colours); c++ {
		marks := colours[c*b.stride:][:b.stride]
		n := marks[0]
		if n == 0 {
			continue
		}
		if any {
			dst = append(dst, '$') // "Graphics Carriage Return"
		}
		dst = number(append(dst, '#'), c)
		dst = b.line(dst, marks[1:n+1])
		any = true
	}
	return dst
}

// collect makes the marks.
func (b *band) collect(first, rows int) {
	w := len(b.rows[0])
	if rows < 6 {
		for x := range w {
			for k, row := range b.rows[:rows] {
				mark(b.marks, row[x], uint32(x+1)<<6|1<<(first+k))
			}
		}
		return
	}
	marks := b.marks
	r0, r1, r2, r3, r4, r5 := b.rows[0][:w], b.rows[1][:w], b.rows[2][:w], b.rows[3][:w], b.rows[4][:w], b.rows[5][:w]
	for x := range w {
		c0, c1, c2, c3, c4, c5 := r0[x], r1[x], r2[x], r3[x], r4[x], r5[x]
		m := uint32(x+1) << 6
		v := m | 1
		if c1 != c0 {
			mark(marks, c0, v)
			v = m
		}
		v |= 2
		if c2 != c1 {
			mark(marks, c1, v)
			v = m
		}
		v |= 4
		if c3 != c2 {
			mark(marks, c2, v)
			v = m
		}
		v |= 8
		if c4 != c3 {
			mark(marks, c3, v)
			v = m
		}
		v |= 16
		if c5 != c4 {
			mark(marks, c4, v)
			v = m
		}
		mark(marks, c5, v|32)
	}
}

// mark puts one more mark to a colour's, or into its last one.
func mark(marks []uint32, at, m uint32) {
	n := marks[at]
	if last := &marks[at+n]; (*last^m)>>6 == 0 {
		*last |= m
		return
	}
	marks[at+n+1] = m
	marks[at] = n + 1
}

// line writes one colour's sixels.
func (b *band) line(dst []byte, marks []uint32) []byte {
	const most = 16 // bytes for a mark
	at := len(dst)
	if need := at + len(marks)*most + most; cap(dst) < need {
		dst = append(make([]byte, 0, need*2), dst...)
	}
	dst = dst[:at+len(marks)*most+most]
	column := 0 // of the next sixel
	for i := 0; i < len(marks); {
		m := marks[i]
		i++
		x := int(m>>6) - 1 + b.left
		n := 1
		for i < len(marks) && marks[i] == m+uint32(n)<<6 {
			n++
			i++
		}
		at += b.runs[x-column].write(dst[at:], '?')
		at += b.runs[n].write(dst[at:], byte(m&63)+'?')
		column = x + n
	}
	return dst[:at]
}

// run is how a sixel is written a number of times.
type run struct {
	text, place uint64 // the bytes before it, and 1 where it comes to stand
	size        int    // bytes in all
}

// newRun says a sixel n times, or says how often ("Graphics Repeat Introducer")
// where that is shorter.
func newRun(n int) run {
	switch n {
	case 0:
		return run{}
	case 1, 2, 3:
		return run{place: 0x010101 >> (24 - 8*n), size: n}
	}
	text := number([]byte{'!'}, n)
	r := run{place: 1 << (8 * len(text)), size: len(text) + 1}
	for i, ch := range text {
		r.text |= uint64(ch) << (8 * i)
	}
	return r
}

// write writes at most eight bytes more than it counts.
func (r *run) write(dst []byte, sixel byte) int {
	binary.LittleEndian.PutUint64(dst, r.text+uint64(sixel)*r.place)
	return r.size
}

// repeat writes a sixel n times.
func (b *band) repeat(dst []byte, sixel byte, n int) []byte {
	at := len(dst)
	r := &b.runs[n]
	dst = binary.LittleEndian.AppendUint64(dst, 0)
	r.write(dst[at:], sixel)
	return dst[:at+r.size]
}

// number writes a decimal number.
func number(dst []byte, n int) []byte {
	if n >= 10 {
		dst = number(dst, n/10)
	}
	return append(dst, byte(n%10)+'0')
}
