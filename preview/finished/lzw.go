package finished

import (
	"encoding/binary"
	"io"
)

// lzwReader is the LZW of TIFF 6.0 §13: codes of 9 to 12 bits, highest bit first, of
// which each grows one code early. The head of every string is kept as it is, which
// is all of most; the rest of a long one is walked from its end.
type lzwReader struct {
	r        io.Reader
	in       []byte
	pos, end int
	acc      uint64
	bits     uint // in acc

	table [4096]lzwEntry
	next  int // the entry that comes next
	width uint
	old   int    // the code before; -1 = none since the table was cleared
	rest  []byte // of a string that did not fit
	spare [4096]byte
	err   error
}

// lzwEntry is a string: its first bytes, the string before it, and its last byte.
type lzwEntry struct {
	head           uint64 // the first of them lowest
	before, length uint16
	last           byte
}

const (
	lzwClear = 256
	lzwEnd   = 257
	lzwFirst = 258
)

// reset begins anew with the codes of r.
func (z *lzwReader) reset(r io.Reader) {
	if z.in == nil {
		z.in = make([]byte, 32<<10)
		for i := range 256 {
			z.table[i] = lzwEntry{head: uint64(i), length: 1, last: byte(i)}
		}
	}
	z.r, z.pos, z.end, z.acc, z.bits, z.rest, z.err = r, 0, 0, 0, 0, nil, nil
	z.clear()
}

func (z *lzwReader) clear() { z.next, z.width, z.old = lzwFirst, 9, -1 }

// Read implements io.Reader. It ends at the code for the end, and where there are
// no codes.
func (z *lzwReader) Read(b []byte) (int, error) {
	n := copy(b, z.rest)
	z.rest = z.rest[n:]
	for n < len(b) && z.err == nil {
		for z.bits < z.width && z.refill() {
		}
		if z.bits < z.width {
			break
		}
		z.bits -= z.width
		code := int(z.acc>>z.bits) & (1<<z.width - 1)
		switch {
		case code == lzwClear:
			z.clear()
			continue
		case code == lzwEnd:
			z.err = io.EOF
			continue
		case z.old < 0 && code > 255, z.old >= 0 && (code > z.next || code == z.next && z.next == 4096):
			z.err = FormatError("a broken TIFF: a code that is in no table")
			continue
		}
		if z.old >= 0 && z.next < 4096 {
			z.add(code)
		}
		z.old = code
		e := &z.table[code]
		if room := b[n:]; e.length <= 8 && len(room) >= 8 {
			binary.LittleEndian.PutUint64(room, e.head)
			n += int(e.length)
		} else {
			n += z.put(room, e)
		}
	}
	if n == 0 && len(b) > 0 {
		return 0, z.err
	}
	return n, nil
}

// add makes an entry of the string before and the first byte of code's, which may be
// the entry itself.
func (z *lzwReader) add(code int) {
	old := &z.table[z.old]
	last := byte(old.head)
	if code != z.next {
		last = byte(z.table[code].head)
	}
	e := &z.table[z.next]
	// A shift by 64 and more gives nothing: of a long string the head stays.
	e.head = old.head | uint64(last)<<(8*uint(old.length))
	e.before, e.length, e.last = uint16(z.old), old.length+1, last
	if z.next++; z.next == 1<<z.width-1 && z.width < 12 {
		z.width++
	}
}

// put writes a string and returns how much of it b holds.
func (z *lzwReader) put(b []byte, e *lzwEntry) int {
	n := int(e.length)
	to := b
	if n > len(b) {
		to = z.spare[:]
	}
	to = to[:n]
	for ; n > 8; n-- {
		to[n-1] = e.last
		e = &z.table[e.before&4095]
	}
	for i := range n {
		to[i] = byte(e.head >> (8 * i))
	}
	if len(to) > len(b) {
		z.rest = to[copy(b, to):]
		return len(b)
	}
	return len(to)
}

// refill takes more bits; false if there are none.
func (z *lzwReader) refill() bool {
	if z.pos == z.end {
		n, err := z.r.Read(z.in)
		if z.pos, z.end = 0, n; n == 0 {
			if z.err = err; err == nil {
				z.err = io.ErrNoProgress
			}
			return false
		}
	}
	if z.bits <= 32 && z.end-z.pos >= 4 {
		z.acc = z.acc<<32 | uint64(binary.BigEndian.Uint32(z.in[z.pos:]))
		z.pos, z.bits = z.pos+4, z.bits+32
		return true
	}
	z.acc = z.acc<<8 | uint64(z.in[z.pos])
	z.pos, z.bits = z.pos+1, z.bits+8
	return true
}
