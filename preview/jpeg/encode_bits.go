package jpeg

import (
	"encoding/binary"
	mathbits "math/bits"

	"garner/preview/jpeg/internal/dct"
)

// bitSink takes codes and lays them down, the first bit of a code in the
// highest place (T.81 C.3), a zero byte after every byte of ones (B.1.1.5).
type bitSink struct {
	buf  []byte // has room for what is to come
	n    int    // bytes in it
	acc  uint64 // the lowest 64-free bits are still to be laid down
	free int
}

// block lays down one block (F.1.2): its DC coefficient as the difference from
// the one before, then those of nonzero, in zigzag order.
func (s *bitSink) block(coef *dct.Block, nonzero uint64, diff int, t *encoderCodes) {
	acc, free := s.acc, s.free

	// A symbol waits until the next is known: what ends the block joins the
	// last, and so do runs of 16 zeros.
	size := mathbits.Len(uint(max(diff, -diff)))
	code := t.dc[size&15]
	symbol, length := uint64(code>>8), int(code&0xFF)
	symbol, length = symbol<<size|uint64(diff+diff>>63)&(1<<size-1), length+size
	last := 0
	for rest := nonzero &^ 1; rest != 0; rest &= rest - 1 {
		k := mathbits.TrailingZeros64(rest)
		v := int(coef[dct.Place[k&63]&63])
		run := k - last - 1
		for last = k; run > 15; run -= 16 {
			symbol, length = symbol<<(t.zeros&0xFF)|uint64(t.zeros>>8), length+int(t.zeros&0xFF)
		}

		free -= length
		if free < 0 {
			acc = acc<<((free+length)&63) | symbol>>(-free&63)
			s.lay(acc)
			acc, free = symbol, free+64
		} else {
			acc = acc<<(length&63) | symbol
		}

		if near := uint(v + shortest); near < 2*shortest {
			e := t.short[(uint(run)*2*shortest+near)%uint(len(t.short))]
			symbol, length = uint64(e>>8), int(e&0xFF)
			continue
		}
		size := mathbits.Len(uint(max(v, -v)))
		code := t.ac[(run<<4|size)&0xFF]
		symbol = uint64(code>>8)<<size | uint64(v+v>>63)&(1<<size-1)
		length = int(code&0xFF) + size
	}
	if last != 63 {
		end := t.ac[0]
		symbol, length = symbol<<(end&0xFF)|uint64(end>>8), length+int(end&0xFF)
	}
	free -= length
	if free < 0 {
		acc = acc<<((free+length)&63) | symbol>>(-free&63)
		s.lay(acc)
		acc, free = symbol, free+64
	} else {
		acc = acc<<(length&63) | symbol
	}
	s.acc, s.free = acc, free
}

// lay lays down 64 bits.
func (s *bitSink) lay(w uint64) {
	const high, low = 0x8080808080808080, 0x0101010101010101
	to := s.buf[s.n:]
	if w&^(w+low)&high == 0 { // no byte of ones: it would have become zero
		binary.BigEndian.PutUint64(to, w)
		s.n += 8
		return
	}
	for shift := 56; shift >= 0; shift -= 8 {
		s.n += stuff(s.buf[s.n:], byte(w>>shift))
	}
}

// stuff lays down one byte and returns how many that made.
func stuff(to []byte, b byte) int {
	to[0] = b
	if b != 0xFF {
		return 1
	}
	to[1] = 0
	return 2
}

// finish appends the bits that are left to dst, filled up with ones (F.1.2.3).
func (s *bitSink) finish(dst []byte) []byte {
	var tail [16]byte
	n := 0
	for left := 64 - s.free; left > 0; left -= 8 {
		w := s.acc
		if left >= 8 {
			w >>= left - 8
		} else {
			w = w<<(8-left) | (1<<(8-left) - 1)
		}
		n += stuff(tail[n:], byte(w))
	}
	return append(dst, tail[:n]...)
}
