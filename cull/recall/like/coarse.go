package like

import (
	"math/bits"

	"garner/preview/pix"
)

// This file makes of the hashes of the 16 windows four words for the first comparison.
// Of each window they hold the 16 bits of the lowest frequencies, which change least when
// a window is not quite in its place: so few places have to be tried out, and one
// difference of 64 bits compares four windows.

const (
	lowWords = 4
	lowBits  = 16
	windows  = pix.LookParts - 1
	// highWords hold the other 48 bits of each window.
	highWords = windows * (64 - lowBits) / 64
)

// place is where the low bits of each window lie. The first word has the four windows in
// the middle: crops of 80 % hold them wherever they are.
var place = [windows]struct{ word, shift uint8 }{
	5: {0, 0}, 6: {0, 16}, 9: {0, 32}, 10: {0, 48},
	0: {1, 0}, 1: {1, 16}, 4: {1, 32}, 2: {1, 48},
	3: {2, 0}, 7: {2, 16}, 11: {2, 32}, 15: {2, 48},
	8: {3, 0}, 12: {3, 16}, 13: {3, 32}, 14: {3, 48},
}

// split parts a hash into the bits of the frequencies below 4 either way, and the others:
// its highest bit is the mean, then come the frequencies across, eight in a row.
func split(h uint64) (low, high uint64) {
	low = h>>60&0xf<<12 | h>>52&0xf<<8 | h>>44&0xf<<4 | h>>36&0xf
	high = h>>56&0xf<<44 | h>>48&0xf<<40 | h>>40&0xf<<36 | h&(1<<36-1)
	return low, high
}

// join is the inverse of split.
func join(low, high uint64) uint64 {
	return low>>12&0xf<<60 | low>>8&0xf<<52 | low>>4&0xf<<44 | low&0xf<<36 |
		high>>44&0xf<<56 | high>>40&0xf<<48 | high>>36&0xf<<40 | high&(1<<36-1)
}

// fields are the low bits of some windows in four words.
type fields [lowWords]uint64

func (f *fields) put(window int, low uint64) { f[place[window].word] |= low << place[window].shift }

func (f *fields) get(window int) uint64 {
	return f[place[window].word] >> place[window].shift & (1<<lowBits - 1)
}

// apart is in how many of the marked bits two differ.
func apart(a, b, mask *fields) int {
	n := 0
	for i := range a {
		n += bits.OnesCount64((a[i] ^ b[i]) & mask[i])
	}
	return n
}
