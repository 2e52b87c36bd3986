package entropy

// peek is how many bits one lookup takes in.
const peek = 12

// Table answers a lookup of the next bits with an entry of 32 bits:
//
//	bits 0..5    how many bits of the data it stands for
//	bits 6..14   how far the position in the block goes on
//	bit 15       the block ends with it
//	bits 16..31  the value for the new position: a DC difference at 0, an AC
//	             coefficient, 0 where only the position moves
//
// The position is 0 (DC) to 63. An entry with the step more takes no bits: the
// symbol needs a closer look. The upper bits are then a description of it:
//
//	bits 0..3    bits of the value that follow the code, at least one
//	bits 4..8    the step
//	bits 9..13   bits of the code; 0 = it is longer than a lookup
//
// A longer code of an AC symbol is in the row of Tables.deep that the lowest
// nine bits number; row 0 is empty.
type Table [1 << peek]uint32

const (
	lengthMask = 1<<6 - 1
	stepShift  = 6
	stepMask   = 1<<9 - 1
	ends       = 1 << 15
	valueShift = 16
	more       = stepMask
)

// describe is the description of a symbol.
func describe(size, step, code int) uint16 { return uint16(size | step<<4 | code<<9) }

// closer is the entry for a closer look.
func closer(description uint16) uint32 {
	return more<<stepShift | uint32(description)<<valueShift
}

// skipBits is the most that an entry of FirstDC or FirstAC takes: three of them
// are what a load has.
const skipBits = 18

// Tables is what one component is decoded with.
type Tables struct {
	dc, ac *Codes
	end    int // bits of the code for the end of block, 0 = there is none

	// Descriptions of AC symbols with long codes, by the bits that follow those
	// of a lookup; 0 = none. There are at most 256 codes.
	deep [257][1 << (16 - peek)]uint16
	rows int

	DC, AC Table // all values
	// For those who want the DC differences alone: as many AC symbols at once
	// as begin within the next bits. The sums of their steps may lead out of the
	// block, where it ends without a code for that.
	FirstDC, FirstAC Table
}

// NewTables makes the lookup tables for a pair of Huffman tables, each defined
// as in NewCodes. It reports whether they are sound.
func NewTables(dc, ac []byte) (*Tables, bool) {
	t := &Tables{}
	var ok bool
	if t.dc, ok = NewCodes(dc); !ok {
		return nil, false
	}
	if t.ac, ok = NewCodes(ac); !ok {
		return nil, false
	}
	for i := range t.AC {
		w := uint64(i) << (64 - peek)
		if symbol, n := t.ac.find(w); n > 0 && n <= peek && symbol == 0 {
			t.end = n
			break
		}
	}
	t.rows = 1
	for i := range t.AC {
		t.AC[i] = t.coefficient(uint64(i) << (64 - peek))
		var ok bool
		if t.FirstAC[i], ok = t.skip(uint64(i)<<(64-peek), 0); !ok {
			t.FirstAC[i] = t.AC[i] // of one that needs a closer look
		}
	}
	for i := range t.DC {
		w := uint64(i) << (64 - peek)
		t.DC[i] = t.difference(w)
		t.FirstDC[i] = t.DC[i]
		if e := t.DC[i]; e>>stepShift&stepMask == 0 && e&ends == 0 {
			used := int(e & lengthMask)
			if s, ok := t.skip(w<<used, used); ok {
				t.FirstDC[i] = e + s
			}
		}
	}
	return t, true
}

// difference is the entry for a DC difference at the top of w (T.81 F.1.2.1).
func (t *Tables) difference(w uint64) uint32 {
	symbol, n := t.dc.find(w)
	size := int(symbol)
	switch {
	case n == 0 || n > peek || size > 15:
		return closer(0)
	case n+size > peek:
		return closer(describe(size, 0, n))
	}
	e := uint32(extend(w<<n, size))<<valueShift | uint32(n+size)
	return t.last(w, e)
}

// coefficient is the entry for an AC symbol at the top of w (F.1.2.2).
func (t *Tables) coefficient(w uint64) uint32 {
	symbol, n := t.ac.find(w)
	run, size := int(symbol>>4), int(symbol&15)
	switch {
	case n == 0 || n > peek:
		return closer(t.long(w))
	case size == 0 && run < 15:
		return ends | uint32(n)
	case n+size > peek:
		return closer(describe(size, run+1, n))
	}
	e := uint32(extend(w<<n, size))<<valueShift | uint32(run+1)<<stepShift | uint32(n+size)
	return t.last(w, e)
}

// long makes a row for the codes that begin with the bits at the top of w. It
// returns its number, 0 if there are no such codes.
func (t *Tables) long(w uint64) uint16 {
	row, any := &t.deep[t.rows%len(t.deep)], false
	for i := range row {
		symbol, n := t.ac.find(w | uint64(i)<<48)
		if size := int(symbol & 15); n > peek && size > 0 {
			row[i], any = describe(size, int(symbol>>4)+1, n), true
		}
	}
	if !any {
		return 0
	}
	t.rows++
	return uint16(t.rows - 1)
}

// last adds the code for the end of block to an entry that it follows.
func (t *Tables) last(w uint64, e uint32) uint32 {
	used := int(e & lengthMask)
	if t.end == 0 || used+t.end > peek {
		return e
	}
	if symbol, n := t.ac.find(w << used); n == t.end && symbol == 0 {
		e += ends | uint32(n)
	}
	return e
}

// skip is the entry for as many AC symbols as begin in the bits at the top of
// w, of which used bits fewer than in a lookup are known. It reports whether
// there are any.
func (t *Tables) skip(w uint64, used int) (e uint32, ok bool) {
	length, step := 0, 0
	for used+length < peek {
		symbol, n := t.ac.find(w << length)
		run, size := int(symbol>>4), int(symbol&15)
		if n == 0 || used+length+n > peek || used+length+n+size > skipBits || step+run > 62 {
			break
		}
		length += n
		if size == 0 && run < 15 {
			return ends | uint32(step)<<stepShift | uint32(length), true
		}
		length, step = length+size, step+run+1
	}
	return uint32(step)<<stepShift | uint32(length), length > 0
}
