package jpeg

import "garner/preview/jpeg/internal/dct"

// This file decodes the Huffman codes of blocks: ITU-T T.81 F.2.2.1 (DC) and
// F.2.2.2 (AC). It is where the time goes that is not spent on transforms.

// unit is one block of a minimum coded unit (A.2.3).
type unit struct {
	dc   *dcTable
	ac   *acTable
	comp int  // whose predictor it uses
	drop bool // only its DC is wanted, to predict the next
	at   int  // place of the block among those of a strip
	step int  // from there to the place of the next unit's
}

// scanner reads the blocks of a scan in their order.
type scanner struct {
	bits
	units []unit // the blocks of one unit, in their order
	pred  [3]int32
	bad   bool // there was no such code, or too many coefficients
}

// places is where coefficient k goes in a block, for every k that a step can
// lead to: 0 where there is none, since the DC coefficient is written last.
var places = func() (p [1024]uint8) {
	copy(p[1:], natural[1:])
	copy(p[stepEnd+1:], natural[1:])
	return p
}()

// blocks decodes n blocks from unit number i on (counted from the start of the
// strip) as far as the buffer reaches. Coefficients go into coef, which has to
// be zero, and the index of the last one in zigzag order into last. It returns
// the number of the unit after the last one decoded.
func (s *scanner) blocks(i, n int, coef []dct.Block, last []uint8) int {
	buf, at, stop := &s.buf, s.at, s.stop
	units := s.units
	m, u := i/len(units), i%len(units)
	for ; i < n && at <= stop; i++ {
		t := &units[u]
		w := load(buf, at)
		e := t.dc.fast[w>>(64-peek)]
		l := uint(e & lengthMask)
		diff := int32(e) >> 16
		if l == 0 {
			var taken int
			if diff, taken = t.dc.slow(w, e); taken == 0 {
				s.bad = true
				break
			}
			l = uint(taken)
		}
		at += l
		dc := s.pred[t.comp] + diff
		s.pred[t.comp] = dc
		place := t.at + m*t.step
		if u++; u == len(units) {
			m, u = m+1, 0
		}
		if t.drop {
			if at = t.ac.pass(buf, at); at == 0 {
				s.bad = true
				break
			}
			continue
		}
		block := &coef[place]
		fast := &t.ac.fast
		k := uint(0)
		for {
			w = load(buf, at)
			e = fast[w>>(64-peek)]
			l = uint(e & lengthMask)
			at += l
			w <<= l & 63
			k += uint(e >> lengthBits & stepMask)
			block[places[k&1023]&63] = int16(e >> 16)
			if k >= 63 {
				goto out
			}
			e = fast[w>>(64-peek)]
			l = uint(e & lengthMask)
			at += l
			w <<= l & 63
			k += uint(e >> lengthBits & stepMask)
			block[places[k&1023]&63] = int16(e >> 16)
			if k >= 63 {
				goto out
			}
			e = fast[w>>(64-peek)]
			at += uint(e & lengthMask)
			k += uint(e >> lengthBits & stepMask)
			block[places[k&1023]&63] = int16(e >> 16)
			if k < 63 {
				continue
			}
		out:
			if k >= stepMore {
				k -= stepMore
				var v int16
				var step uint
				v, step, l = t.ac.slow(load(buf, at), e)
				at += l
				if l == 0 {
					s.bad = true
					break
				}
				k += step
				block[places[k&1023]&63] = v
				if k < 63 {
					continue
				}
			}
			break
		}
		switch {
		case k >= stepEmpty:
			k -= stepEmpty
		case k >= stepEnd+63: // there is no end code after the last coefficient
			at -= uint(t.ac.end)
			s.bad = s.bad || k > stepEnd+63
			k = 63
		case k >= stepEnd:
			k -= stepEnd
		case k > 63:
			s.bad = true
		}
		block[0] = int16(dc)
		last[place] = uint8(k)
		if s.bad {
			break
		}
	}
	s.at = at
	return i
}

// slow is a lookup that fast did not answer: the coefficient, the step to it,
// and how many bits they take, 0 if there is no such code.
func (t *acTable) slow(w uint64, e uint32) (v int16, step, length uint) {
	symbol, n := byte(e>>24), int(e>>16&255)
	if n == 0 {
		if symbol, n = t.find(w); n == 0 {
			return 0, 0, 0
		}
	}
	run, size := uint(symbol>>4), int(symbol&15)
	if size == 0 && run < 15 {
		return 0, stepEmpty, uint(n)
	}
	return int16(extend(w<<n, size)), run + 1, uint(n + size)
}

// averages is blocks for those who want only the DC coefficients, which go
// into dc. Without one, nobody wants even them.
func (s *scanner) averages(i, n int, dc []int16) int {
	buf, at, stop := &s.buf, s.at, s.stop
	units := s.units
	m, u := i/len(units), i%len(units)
	for ; i < n && at <= stop; i++ {
		t := &units[u]
		w := load(buf, at)
		e := t.dc.fast[w>>(64-peek)]
		l := uint(e & lengthMask)
		diff := int32(e) >> 16
		if l == 0 {
			var taken int
			if diff, taken = t.dc.slow(w, e); taken == 0 {
				s.bad = true
				break
			}
			l = uint(taken)
		}
		at += l
		v := s.pred[t.comp] + diff
		s.pred[t.comp] = v
		if place := uint(t.at + m*t.step); place < uint(len(dc)) {
			dc[place] = int16(v)
		}
		if u++; u == len(units) {
			m, u = m+1, 0
		}
		if at = t.ac.pass(buf, at); at == 0 {
			s.bad = true
			break
		}
	}
	s.at = at
	return i
}

// pass steps over all AC coefficients of a block. It returns the position
// after them, 0 if the block is broken.
func (t *acTable) pass(buf *[bufferSize + 2*blockBytes]byte, at uint) uint {
	skip := &t.skip
	k := uint(0)
	for {
		w := load(buf, at)
		e := skip[w>>(64-peek)]
		l := uint(e & lengthMask)
		at += l
		if k += uint(e >> lengthBits); k < 63 {
			w <<= l & 63
			e = skip[w>>(64-peek)]
			l = uint(e & lengthMask)
			at += l
			if k += uint(e >> lengthBits); k < 63 {
				continue
			}
		}
		if complete(k) {
			return at
		}
		return t.rest(buf, at-l, k-uint(e>>lengthBits))
	}
}

// complete reports whether steps of skip that add up to k are a whole block. They
// are not where an entry went on behind coefficient 63, which needs no code for
// the end of block, or where the next symbol needs a closer look.
func complete(k uint) bool {
	return k == 63 || k >= stepEnd && k < stepEnd+63 || k >= stepEmpty && k < stepMore
}

// rest steps over the rest of a block of which the coefficients up to k were
// read, symbol by symbol. It returns as pass.
func (t *acTable) rest(buf *[bufferSize + 2*blockBytes]byte, at, k uint) uint {
	for k < 63 {
		_, step, l := t.slow(load(buf, at), 0)
		if l == 0 {
			return 0
		}
		at, k = at+l, k+step
	}
	if k > 63 && k < stepEmpty {
		return 0
	}
	return at
}
