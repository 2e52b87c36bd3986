package entropy

import (
	"bytes"
	"encoding/binary"
)

const (
	// blockBytes is more than one block can take, even a broken one: 31 bits
	// each for the DC difference and 63 coefficients, and what a load reads.
	blockBytes = 264
	// bufferSize is how much of a segment is made ready at once: little enough
	// to stay in the fastest cache.
	bufferSize = 16 << 10
)

type buffer [bufferSize + 2*blockBytes]byte

// load returns the bits from position at on: 57 of them at least.
func (b *buffer) load(at uint) uint64 {
	return binary.BigEndian.Uint64(b[at>>3:]) << (at & 7)
}

// segment reads one entropy-coded segment: the data between markers (T.81
// B.1.1.5). It takes the zero bytes that are stuffed in after 0xFF out ahead of
// time, so that the decoder need not look for them. Behind the end of a segment
// zeros can be read, enough for one block.
type segment struct {
	src  []byte // the file
	next int    // offset in src of what comes after buf
	n    int    // bytes in buf
	last bool   // the segment ends with them
	at   uint   // position in buf, in bits: the next one to be read

	base    int // offset in src of buf[0]
	counted int // a place in buf
	passed  int // offset in src that belongs to it

	buf buffer
}

// seek goes to a bit of a byte of the file.
func (s *segment) seek(offset int, bit uint) {
	offset = min(offset, len(s.src))
	s.next, s.n, s.last, s.at = offset, 0, false, 0
	s.base, s.counted, s.passed = offset, 0, offset
	s.fill()
	s.at = bit
}

// fill makes more of the segment ready.
func (s *segment) fill() {
	if s.n > 0 {
		from := min(int(s.at>>3), s.n)
		s.base = s.offset(from)
		s.counted, s.passed = 0, s.base
		s.n = copy(s.buf[:], s.buf[from:s.n])
		s.at &= 7
	}
	for s.n < bufferSize && !s.last {
		src := s.src[s.next:min(len(s.src), s.next+bufferSize-s.n)]
		i := bytes.IndexByte(src, 0xFF)
		if i >= 0 {
			src = src[:i]
		}
		s.n += copy(s.buf[s.n:bufferSize], src)
		s.next += len(src)
		switch {
		case i < 0:
			s.last = s.next == len(s.src)
		case s.next+1 == len(s.src) || s.src[s.next+1] != 0:
			s.last = true // a marker
		default:
			s.buf[s.n] = 0xFF
			s.n, s.next = s.n+1, s.next+2
		}
	}
	if s.last {
		clear(s.buf[s.n : s.n+2*blockBytes])
	}
}

// offset returns where in the file buf[i] comes from. Calls must go forward.
func (s *segment) offset(i int) int {
	if i > s.counted {
		s.passed += i - s.counted + bytes.Count(s.buf[s.counted:i], []byte{0xFF})
		s.counted = i
	}
	return s.passed
}

// over reports whether more was read than there is.
func (s *segment) over() bool { return s.last && s.at > uint(s.n)<<3 }

// remaining returns how many whole bytes of buf have not been read.
func (s *segment) remaining() int { return s.n - int(s.at+7)>>3 }

// restart takes the restart marker that is due, number n, after which the data
// go on (T.81 B.1.1.3, E.2.4). It reports whether it was there. Up to slack
// bytes before it are stepped over.
func (s *segment) restart(n int) bool {
	if s.over() {
		return false
	}
	if !s.last {
		s.fill()
	}
	const slack = 7
	if !s.last || s.remaining() > slack {
		return false
	}
	i := s.next
	for i < len(s.src) && s.src[i] == 0xFF {
		i++
	}
	if i == s.next || i >= len(s.src) || s.src[i] != byte(0xD0+n&7) {
		return false
	}
	s.seek(i+1, 0)
	return true
}
