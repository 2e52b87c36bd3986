package entropy

import "math/bits"

// The tables of T.81 Annex K.3, as counts and symbols (K.3 to K.6).
var (
	lumaDC   = spec([]byte{0, 1, 5, 1, 1, 1, 1, 1, 1}, []byte{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11})
	chromaDC = spec([]byte{0, 3, 1, 1, 1, 1, 1, 1, 1, 1, 1}, []byte{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11})
	lumaAC   = spec([]byte{0, 2, 1, 3, 3, 2, 4, 3, 5, 5, 4, 4, 0, 0, 1, 0x7d}, []byte{
		0x01, 0x02, 0x03, 0x00, 0x04, 0x11, 0x05, 0x12, 0x21, 0x31, 0x41, 0x06, 0x13, 0x51, 0x61, 0x07, 0x22, 0x71,
		0x14, 0x32, 0x81, 0x91, 0xa1, 0x08, 0x23, 0x42, 0xb1, 0xc1, 0x15, 0x52, 0xd1, 0xf0, 0x24, 0x33, 0x62, 0x72,
		0x82, 0x09, 0x0a, 0x16, 0x17, 0x18, 0x19, 0x1a, 0x25, 0x26, 0x27, 0x28, 0x29, 0x2a, 0x34, 0x35, 0x36, 0x37,
		0x38, 0x39, 0x3a, 0x43, 0x44, 0x45, 0x46, 0x47, 0x48, 0x49, 0x4a, 0x53, 0x54, 0x55, 0x56, 0x57, 0x58, 0x59,
		0x5a, 0x63, 0x64, 0x65, 0x66, 0x67, 0x68, 0x69, 0x6a, 0x73, 0x74, 0x75, 0x76, 0x77, 0x78, 0x79, 0x7a, 0x83,
		0x84, 0x85, 0x86, 0x87, 0x88, 0x89, 0x8a, 0x92, 0x93, 0x94, 0x95, 0x96, 0x97, 0x98, 0x99, 0x9a, 0xa2, 0xa3,
		0xa4, 0xa5, 0xa6, 0xa7, 0xa8, 0xa9, 0xaa, 0xb2, 0xb3, 0xb4, 0xb5, 0xb6, 0xb7, 0xb8, 0xb9, 0xba, 0xc2, 0xc3,
		0xc4, 0xc5, 0xc6, 0xc7, 0xc8, 0xc9, 0xca, 0xd2, 0xd3, 0xd4, 0xd5, 0xd6, 0xd7, 0xd8, 0xd9, 0xda, 0xe1, 0xe2,
		0xe3, 0xe4, 0xe5, 0xe6, 0xe7, 0xe8, 0xe9, 0xea, 0xf1, 0xf2, 0xf3, 0xf4, 0xf5, 0xf6, 0xf7, 0xf8, 0xf9, 0xfa})
	// Every symbol there can be, all with eight bits but for the last two.
	flatAC = spec([]byte{0, 0, 0, 0, 0, 0, 0, 254, 2}, func() (s []byte) {
		for i := range 256 {
			s = append(s, byte(i))
		}
		return s
	}())
	// A code of one bit for the end of block, and long ones for the rest.
	steepAC = spec([]byte{1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 3, 3, 5, 10}, []byte{
		0x00, 0x01, 0x0a, 0xf0, 0x02, 0x11, 0xfa, 0x05, 0x31, 0x82, 0x55, 0x0f, 0x03, 0x04, 0x06, 0x07, 0x08, 0x09, 0x21, 0x41, 0x51, 0x61})
	steepDC = spec([]byte{0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 9}, []byte{0, 15, 14, 13, 12, 1, 2, 3, 4, 5, 6, 7, 8, 9})
)

func spec(counts, symbols []byte) []byte {
	b := make([]byte, 16, 16+len(symbols))
	copy(b, counts)
	return append(b, symbols...)
}

// writer is an entropy coder, written for these tests from T.81 Annexes C and
// F.1.2.
type writer struct {
	out  []byte
	acc  uint64
	n    int
	code map[*byte]map[byte][2]int // by definition and symbol: code, bits
}

func (w *writer) put(v uint64, n int) {
	w.acc, w.n = w.acc<<n|v&(1<<n-1), w.n+n
	for w.n >= 8 {
		b := byte(w.acc >> (w.n - 8))
		if w.out = append(w.out, b); b == 0xFF {
			w.out = append(w.out, 0)
		}
		w.n -= 8
	}
}

// symbol writes a symbol if there is a code for it.
func (w *writer) symbol(spec []byte, s byte) bool {
	if w.code == nil {
		w.code = map[*byte]map[byte][2]int{}
	}
	codes := w.code[&spec[0]]
	if codes == nil {
		codes = map[byte][2]int{}
		w.code[&spec[0]] = codes
		at, code := 16, 0
		for l := 1; l <= 16; l++ {
			for range spec[l-1] {
				codes[spec[at]] = [2]int{code, l}
				at, code = at+1, code+1
			}
			code <<= 1
		}
	}
	c, ok := codes[s]
	if ok {
		w.put(uint64(c[0]), c[1])
	}
	return ok
}

func (w *writer) value(v, size int) {
	if v < 0 {
		v += 1<<size - 1
	}
	w.put(uint64(v), size)
}

func size(v int) int { return bits.Len(uint(max(v, -v))) }

// block writes one block; coefficients for which there is no code become 0. It
// returns what was written.
func (w *writer) block(dc, ac []byte, diff int, zigzag [64]int) (int, [64]int) {
	if !w.symbol(dc, byte(size(diff))) {
		w.symbol(dc, 0)
		diff = 0
	}
	w.value(diff, size(diff))
	last := 0
	for k := 1; k < 64; k++ {
		if zigzag[k] == 0 {
			continue
		}
		mark, acc, n := len(w.out), w.acc, w.n
		run := k - last - 1
		ok := true
		for ; run > 15; run -= 16 {
			ok = ok && w.symbol(ac, 0xF0)
		}
		if !ok || !w.symbol(ac, byte(run<<4|size(zigzag[k]))) {
			w.out, w.acc, w.n = w.out[:mark], acc, n
			zigzag[k] = 0
			continue
		}
		w.value(zigzag[k], size(zigzag[k]))
		last = k
	}
	if last < 63 {
		w.symbol(ac, 0)
	}
	return diff, zigzag
}

// flush fills the last byte with ones.
func (w *writer) flush() []byte {
	if w.n > 0 {
		w.put(0xFF, 8-w.n)
	}
	return w.out
}
