package jpeg

// This file makes lookup tables of Huffman tables: ITU-T T.81 Annex C (how the
// codes follow from their lengths) and F.1.2 (what the symbols mean: the size
// of a DC difference; a run of zeros and the size of the AC coefficient that
// ends it; and the bits that follow a symbol, EXTEND of F.2.2.1).

// peek is how many bits one lookup takes in.
const peek = 12

// What an entry of a table says. The lowest six bits are how many bits of the
// data it stands for; the other fields are said at the tables.
const (
	lengthBits = 6
	lengthMask = 1<<lengthBits - 1
	stepMask   = 1<<10 - 1
)

// Steps beyond those of a run and its coefficient. The position in a block is
// 0 (DC) to 63; a step takes it out of that range where a block ends, in such a
// way that it still can be told.
const (
	stepEnd   = 128 // the block ends after the coefficient of this entry
	stepEmpty = 256 // the block ends, this entry has no coefficient
	stepMore  = 512 // nothing is taken: the symbol needs a closer look
)

// codes is a Huffman table as it was sent.
type codes struct {
	limit  [17]int32 // by length: the first code that is longer, at that length
	offset [17]int32 // by length: what makes an index into symbols of a code
	symbol []byte    // in order of their codes
}

// newCodes reads 16 counts and the symbols behind them.
func newCodes(spec []byte) (*codes, error) {
	c := &codes{symbol: append([]byte(nil), spec[16:]...)}
	code, at := int32(0), int32(0)
	for l := 1; l <= 16; l++ {
		n := int32(spec[l-1])
		c.offset[l] = at - code
		code, at = code+n, at+n
		if code > 1<<l {
			return nil, FormatError("Huffman table with too many codes")
		}
		c.limit[l] = code
		code <<= 1
	}
	return c, nil
}

// find returns the symbol whose code stands at the top of w, and the length of
// the code: 0 if there is none.
func (c *codes) find(w uint64) (symbol byte, length int) {
	for l := 1; l <= 16; l++ {
		if code := int32(w >> (64 - l)); code < c.limit[l] {
			return c.symbol[c.offset[l]+code], l
		}
	}
	return 0, 0
}

// extend is the number that stands in the size bits at the top of w.
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

// dcTable decodes DC differences.
type dcTable struct {
	codes
	// fast, by the next bits: the difference in the upper half; or, with a
	// length of 0, the length of the code there and the symbol above it, both 0
	// if the code is longer than peek.
	fast [1 << peek]uint32
}

// acTable decodes AC coefficients.
type acTable struct {
	codes
	end int // length of the code for the end of block
	// fast, by the next bits: the coefficient in the upper half and the step to
	// its place, or with stepMore the same as in dcTable.
	fast [1 << peek]uint32
	// skip is for those who want none of the values: as many symbols at once
	// as begin within the next bits. Steps and length as in fast.
	skip [1 << peek]uint16
}

func newDCTable(spec []byte) (*dcTable, error) {
	c, err := newCodes(spec)
	if err != nil {
		return nil, err
	}
	t := &dcTable{codes: *c}
	for i := range t.fast {
		w := uint64(i) << (64 - peek)
		symbol, n := c.find(w)
		size := int(symbol)
		switch {
		case n == 0 || n > peek || size > 15:
		case n+size > peek:
			t.fast[i] = (uint32(symbol)<<8 | uint32(n)) << 16
		default:
			t.fast[i] = uint32(extend(w<<n, size))<<16 | uint32(n+size)
		}
	}
	return t, nil
}

// slow is a lookup that fast did not answer. It returns the difference and how
// many bits it takes, 0 if there is no such code.
func (t *dcTable) slow(w uint64, e uint32) (diff int32, length int) {
	symbol, n := byte(e>>24), int(e>>16&255)
	if n == 0 {
		if symbol, n = t.find(w); n == 0 || symbol > 15 {
			return 0, 0
		}
	}
	return int32(extend(w<<n, int(symbol))), n + int(symbol)
}

func newACTable(spec []byte) (*acTable, error) {
	c, err := newCodes(spec)
	if err != nil {
		return nil, err
	}
	t := &acTable{codes: *c}
	for i := range t.fast {
		w := uint64(i) << (64 - peek)
		symbol, n := c.find(w)
		run, size := int(symbol>>4), int(symbol&15)
		if symbol == 0 && n > 0 {
			t.end = n
		}
		switch {
		case n == 0 || n > peek:
			t.fast[i] = stepMore << lengthBits
		case size == 0 && run < 15:
			t.fast[i] = stepEmpty<<lengthBits | uint32(n)
		case n+size > peek:
			t.fast[i] = (uint32(symbol)<<8|uint32(n))<<16 | stepMore<<lengthBits
		default:
			v := uint32(extend(w<<n, size))
			t.fast[i] = v<<16 | uint32(run+1)<<lengthBits | uint32(n+size)
		}
	}
	t.follow()
	for i := range t.skip {
		t.skip[i] = t.symbols(i)
	}
	return t, nil
}

// follow adds to the entries after which a block surely ends that it does.
func (t *acTable) follow() {
	for i, e := range t.fast {
		n, step := e&lengthMask, e>>lengthBits&stepMask
		if step >= stepEnd || n+uint32(t.end) > peek || t.end == 0 {
			continue
		}
		w := uint64(i) << (64 - peek) << n
		if symbol, l := t.find(w); symbol == 0 && l == t.end {
			t.fast[i] += stepEnd<<lengthBits + uint32(l)
		}
	}
}

// symbols returns the entry of skip for the next bits i.
func (t *acTable) symbols(i int) uint16 {
	w, used, step := uint64(i)<<(64-peek), 0, 0
	for used < peek && step < 64 {
		symbol, n := t.find(w << used)
		if n == 0 || used+n > peek {
			break
		}
		run, size := int(symbol>>4), int(symbol&15)
		if step+run >= 64 {
			break
		}
		used += n
		if size == 0 && run < 15 {
			if step == 0 {
				return uint16(stepEmpty<<lengthBits | used)
			}
			return uint16((step+stepEnd)<<lengthBits | used)
		}
		used, step = used+size, step+run+1
	}
	if used == 0 {
		return stepMore << lengthBits
	}
	return uint16(step<<lengthBits | used)
}
