package entropy

// Natural is the place in a block, row by row, of each coefficient in zigzag
// order (T.81 A.3.6, figure A.6).
var Natural = [64]uint8{
	0, 1, 8, 16, 9, 2, 3, 10,
	17, 24, 32, 25, 18, 11, 4, 5,
	12, 19, 26, 33, 40, 48, 41, 34,
	27, 20, 13, 6, 7, 14, 21, 28,
	35, 42, 49, 56, 57, 50, 43, 36,
	29, 22, 15, 23, 30, 37, 44, 51,
	58, 59, 52, 45, 38, 31, 39, 46,
	53, 60, 61, 54, 47, 55, 62, 63,
}

// Codes is a Huffman table as it was sent: T.81 Annex C, where the codes follow
// from their lengths.
type Codes struct {
	limit  [17]int32 // by length: the first code that is longer, at that length
	offset [17]int32 // by length: what makes an index into symbol of a code
	symbol []byte    // in order of their codes
}

// NewCodes reads a definition: 16 counts and the symbols behind them. It
// reports whether there are codes for all of them.
func NewCodes(spec []byte) (*Codes, bool) {
	c := &Codes{symbol: append([]byte(nil), spec[16:]...)}
	code, at := int32(0), int32(0)
	for l := 1; l <= 16; l++ {
		n := int32(spec[l-1])
		c.offset[l] = at - code
		code, at = code+n, at+n
		if code > 1<<l || int(at) > len(c.symbol) {
			return nil, false
		}
		c.limit[l] = code
		code <<= 1
	}
	return c, true
}

// find returns the symbol whose code stands at the top of w, and the length of
// the code: 0 if there is none.
func (c *Codes) find(w uint64) (symbol byte, length int) {
	for l := 1; l <= 16; l++ {
		if code := int32(w >> (64 - l)); code < c.limit[l] {
			return c.symbol[c.offset[l]+code], l
		}
	}
	return 0, 0
}

// singles fills in the codes that are short enough.
func (c *Codes) singles(s *singles) {
	for l := 1; l <= firstPeek; l++ {
		first := c.limit[l-1] << 1 // the first code of this length
		for code := first; code < c.limit[l]; code++ {
			v := uint16(c.symbol[c.offset[l]+code])<<4 | uint16(l)
			from := int(code) << (firstPeek - l)
			for i := range 1 << (firstPeek - l) {
				s[from+i] = v
			}
		}
	}
}

// length returns the length of the code of a symbol, 0 if it has none.
func (c *Codes) length(symbol byte) int {
	for l := 1; l <= 16; l++ {
		for code := c.limit[l-1] << 1; code < c.limit[l]; code++ {
			if c.symbol[c.offset[l]+code] == symbol {
				return l
			}
		}
	}
	return 0
}

// extend is the number that stands in the size bits at the top of w (EXTEND of
// T.81 F.2.2.1).
func extend(w uint64, size int) int {
	if size == 0 {
		return 0
	}
	v := int(w >> (64 - size))
	if v>>(size-1) == 0 {
		v -= 1<<size - 1
	}
	return v
}
