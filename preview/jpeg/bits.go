package jpeg

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

// bits is the reader of one entropy-coded segment: the data between markers
// (T.81 B.1.1.5). It takes the zero bytes that are stuffed in after 0xFF out
// ahead of time, so that the decoder need not look for them. Behind the end of
// a segment zeros can be read, enough for one block.
type bits struct {
	src  []byte // the file, without padding at its end
	next int    // offset in src of what comes after buf
	n    int    // bytes in buf
	last bool   // the segment ends with them
	at   uint   // position in buf, in bits: the next one to be read
	stop uint   // up to here a block may begin

	base    int // offset in src of buf[0]
	counted int // a place in buf
	passed  int // offset in src that belongs to it

	buf [bufferSize + 2*blockBytes]byte
}

// seek goes to a bit of a byte of the file.
func (b *bits) seek(offset int, bit uint) {
	offset = min(offset, len(b.src))
	b.next, b.n, b.last = offset, 0, false
	b.base, b.counted, b.passed = offset, 0, offset
	b.fill()
	b.at = bit
}

// fill makes more of the segment ready.
func (b *bits) fill() {
	if from := int(b.at >> 3); b.n > 0 {
		from = min(from, b.n)
		b.base = b.offset(from)
		b.counted, b.passed = 0, b.base
		b.n = copy(b.buf[:], b.buf[from:b.n])
		b.at &= 7
	}
	for b.n < bufferSize && !b.last {
		src := b.src[b.next:min(len(b.src), b.next+bufferSize-b.n)]
		i := bytes.IndexByte(src, 0xFF)
		if i >= 0 {
			src = src[:i]
		}
		b.n += copy(b.buf[b.n:bufferSize], src)
		b.next += len(src)
		switch {
		case i < 0:
			b.last = b.next == len(b.src)
		case b.next+1 == len(b.src) || b.src[b.next+1] != 0:
			b.last = true // a marker
		default:
			b.buf[b.n] = 0xFF
			b.n, b.next = b.n+1, b.next+2
		}
	}
	if b.last {
		clear(b.buf[b.n : b.n+2*blockBytes])
		b.stop = uint(b.n) << 3
	} else {
		b.stop = uint(b.n-blockBytes) << 3
	}
}

// offset returns where in the file buf[i] comes from. Calls must go forward.
func (b *bits) offset(i int) int {
	if i > b.counted {
		b.passed += i - b.counted + bytes.Count(b.buf[b.counted:i], []byte{0xFF})
		b.counted = i
	}
	return b.passed
}

// position returns the place in the file: of a byte, and the bit in it.
func (b *bits) position() (offset int, bit uint) {
	return b.offset(int(b.at >> 3)), b.at & 7
}

// over reports whether more was read than there is.
func (b *bits) over() bool { return b.last && b.at > b.stop }

// remaining returns how many whole bytes of the segment have not been read.
func (b *bits) remaining() int { return b.n - int(b.at+7)>>3 }

// restart takes the restart marker that is due, number n, after which the data
// go on (T.81 B.1.1.3, E.2.4). It reports whether it was there. Up to slack
// bytes before it are stepped over.
func (b *bits) restart(n int) bool {
	if b.over() {
		return false
	}
	if !b.last {
		b.fill()
	}
	const slack = 7
	if !b.last || b.remaining() > slack {
		return false
	}
	i := b.next
	for i < len(b.src) && b.src[i] == 0xFF {
		i++
	}
	if i == b.next || i >= len(b.src) || b.src[i] != byte(0xD0+n&7) {
		return false
	}
	b.seek(i+1, 0)
	return true
}

// load returns the bits from position at on: 57 of them at least.
func load(buf *[bufferSize + 2*blockBytes]byte, at uint) uint64 {
	return binary.BigEndian.Uint64(buf[at>>3:]) << (at & 7)
}
