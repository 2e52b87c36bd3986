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

	all, first bool // which of the tables are made
	DC, AC     Table
	// For those who want the DC differences alone: as many AC symbols at once
	// as begin within the next bits. The sums of their steps may lead out of the
	// block, where it ends without a code for that.
	FirstDC, FirstAC Table

	// Descriptions of AC symbols with long codes, by the bits that follow those
	// of a lookup; 0 = none. There are at most 256 codes.
	deep [257][1 << (16 - peek)]uint16
	rows int
}

// NewTables takes a pair of Huffman tables, each defined as in NewCodes. It
// reports whether they are sound.
func NewTables(dc, ac []byte) (*Tables, bool) {
	t := &Tables{rows: 1}
	var ok bool
	if t.dc, ok = NewCodes(dc); !ok {
		return nil, false
	}
	if t.ac, ok = NewCodes(ac); !ok {
		return nil, false
	}
	return t, true
}

// make makes the lookup tables, those for DC differences alone too if wanted.
func (t *Tables) make(first bool) {
	if t.all && (t.first || !first) {
		return
	}
	var dc, ac singles
	t.dc.singles(&dc)
	t.ac.singles(&ac)
	if !t.all {
		t.all = true
		t.end = t.ac.length(0)
		for i := range t.AC {
			t.AC[i] = t.coefficient(i, &ac)
		}
		for i := range t.DC {
			t.DC[i] = t.difference(i, &dc, &ac)
		}
	}
	if !first {
		return
	}
	t.first = true
	for i := range t.FirstAC {
		e, ok := skip(i, 0, &ac)
		if !ok {
			e = t.AC[i] // of one that needs a closer look
		}
		t.FirstAC[i] = e
	}
	for i, e := range t.DC {
		if e>>stepShift&stepMask == 0 && e&ends == 0 {
			used := int(e & lengthMask)
			if s, ok := skip(i<<used, used, &ac); ok {
				e += s
			}
		}
		t.FirstDC[i] = e
	}
}

// singles has the symbol whose code stands at the top of so many bits, above
// four bits for the length of the code; 0 where none is as short as that.
type singles [1 << peek]uint16

func (s *singles) at(i, used int) (symbol byte, length int, ok bool) {
	v := s[i&(1<<peek-1)]
	length = int(v & 15)
	return byte(v >> 4), length, length > 0 && used+length <= peek
}

// difference is the entry for a DC difference (T.81 F.1.2.1).
func (t *Tables) difference(i int, dc, ac *singles) uint32 {
	symbol, n, ok := dc.at(i, 0)
	size := int(symbol)
	switch {
	case !ok || size > 15:
		return closer(0)
	case n+size > peek:
		return closer(describe(size, 0, n))
	}
	return t.last(i, value(i, n, size)<<valueShift|uint32(n+size), ac)
}

// coefficient is the entry for an AC symbol (F.1.2.2).
func (t *Tables) coefficient(i int, ac *singles) uint32 {
	symbol, n, ok := ac.at(i, 0)
	run, size := int(symbol>>4), int(symbol&15)
	switch {
	case !ok:
		return closer(t.long(i))
	case size == 0 && run < 15:
		return ends | uint32(n)
	case n+size > peek:
		return closer(describe(size, run+1, n))
	}
	return t.last(i, value(i, n, size)<<valueShift|uint32(run+1)<<stepShift|uint32(n+size), ac)
}

// value is the number in the size bits behind the first n of a lookup.
func value(i, n, size int) uint32 {
	return uint32(extend(uint64(i)<<(64-peek)<<n, size))
}

// last adds the code for the end of block to an entry that it follows.
func (t *Tables) last(i int, e uint32, ac *singles) uint32 {
	used := int(e & lengthMask)
	if symbol, n, ok := ac.at(i<<used, used); ok && symbol == 0 && n == t.end {
		e += ends | uint32(n)
	}
	return e
}

// long makes a row for the codes that begin with the bits of a lookup. It
// returns its number, 0 if there are no such codes.
func (t *Tables) long(i int) uint16 {
	row, any := &t.deep[t.rows%len(t.deep)], false
	for j := range row {
		symbol, n := t.ac.find(uint64(i)<<(64-peek) | uint64(j)<<48)
		if size := int(symbol & 15); n > peek && size > 0 {
			row[j], any = describe(size, int(symbol>>4)+1, n), true
		}
	}
	if !any {
		return 0
	}
	t.rows++
	return uint16(t.rows - 1)
}

// skip is the entry for as many AC symbols as begin in a lookup, of which the
// last used bits are not known. It reports whether there are any.
func skip(i, used int, ac *singles) (e uint32, ok bool) {
	length, step := 0, 0
	for {
		symbol, n, ok := ac.at(i<<length, used+length)
		run, size := int(symbol>>4), int(symbol&15)
		if !ok || used+length+n+size > skipBits || step+run > 62 {
			return uint32(step)<<stepShift | uint32(length), length > 0
		}
		length += n
		if size == 0 && run < 15 {
			return ends | uint32(step)<<stepShift | uint32(length), true
		}
		length, step = length+size, step+run+1
	}
}
