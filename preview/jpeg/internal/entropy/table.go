package entropy

// How many bits one lookup takes in: of tables of all values, and of those that
// pass over AC coefficients. More bits are fewer lookups; fewer bits are tables
// that stay in the fastest cache, where the ends of a picture's bits lead all
// over them. Measured on photographs.
const (
	peek      = 10
	firstPeek = 11
)

// A table answers a lookup of the next bits with an entry of 32 bits:
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
type (
	table      [1 << peek]uint32
	firstTable [1 << firstPeek]uint32
)

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

// The most bits that an entry takes which passes over coefficients: five of
// those of pass are what a load has, or three of those for DC alone.
const (
	passBits  = 11
	firstBits = 18
)

// Tables is what one component is decoded with.
type Tables struct {
	codes, acCodes *Codes
	end            int // bits of the code for the end of block, 0 = there is none

	made, madeFirst bool // which of the tables are made

	dc, ac table
	// AC symbols alone: as many at once as begin within the next bits. The sums
	// of their steps may lead out of the block, where it ends without a code for
	// that.
	pass table
	// For those who want the DC differences alone. firstDC goes on to AC symbols.
	firstDC, firstAC firstTable

	// Descriptions of AC symbols with long codes, by the bits that follow the
	// first peek; 0 = none. There are at most 256 codes.
	deep [257][1 << (16 - peek)]uint16
	rows int
}

// NewTables takes a pair of Huffman tables, each defined as in NewCodes. It
// reports whether they are sound.
func NewTables(dc, ac []byte) (*Tables, bool) {
	t := &Tables{rows: 1}
	var ok bool
	if t.codes, ok = NewCodes(dc); !ok {
		return nil, false
	}
	if t.acCodes, ok = NewCodes(ac); !ok {
		return nil, false
	}
	return t, true
}

// make makes the lookup tables, those for DC differences alone too if wanted.
func (t *Tables) make(first bool) {
	if t.made && (t.madeFirst || !first) {
		return
	}
	var dc, ac singles
	t.codes.singles(&dc)
	t.acCodes.singles(&ac)
	if !t.made {
		t.made = true
		t.end = t.acCodes.length(0)
		for i := range t.ac {
			w := window{i << (firstPeek - peek), peek}
			t.ac[i] = t.coefficient(w, &ac)
			t.pass[i] = t.passing(w, passBits, &ac)
			t.dc[i] = t.difference(w, &dc, &ac)
		}
	}
	if !first {
		return
	}
	t.madeFirst = true
	for i := range t.firstAC {
		w := window{i, firstPeek}
		t.firstAC[i] = t.passing(w, firstBits, &ac)
		e := t.difference(w, &dc, &ac)
		if e>>stepShift&stepMask == 0 && e&ends == 0 {
			used := int(e & lengthMask)
			if s, ok := skip(w.after(used), firstBits-used, &ac); ok {
				e += s
			}
		}
		t.firstDC[i] = e
	}
}

// window is the next bits, as far as they are known: from the top of firstPeek
// bits.
type window struct{ bits, known int }

func (w window) after(n int) window {
	return window{w.bits << n & (1<<firstPeek - 1), w.known - n}
}

// value is the number in the next size bits behind the first n.
func (w window) value(n, size int) uint32 {
	return uint32(extend(uint64(w.bits)<<(64-firstPeek)<<n, size))
}

// singles has the symbol whose code stands at the top of so many bits, above
// four bits for the length of the code; 0 where none is as short as that.
type singles [1 << firstPeek]uint16

func (s *singles) at(w window) (symbol byte, length int, ok bool) {
	v := s[w.bits]
	length = int(v & 15)
	return byte(v >> 4), length, length > 0 && length <= w.known
}

// difference is the entry for a DC difference (T.81 F.1.2.1).
func (t *Tables) difference(w window, dc, ac *singles) uint32 {
	symbol, n, ok := dc.at(w)
	size := int(symbol)
	switch {
	case !ok || size > 15:
		return closer(0)
	case n+size > w.known:
		return closer(describe(size, 0, n))
	}
	return t.last(w, w.value(n, size)<<valueShift|uint32(n+size), ac)
}

// coefficient is the entry for an AC symbol (F.1.2.2).
func (t *Tables) coefficient(w window, ac *singles) uint32 {
	symbol, n, ok := ac.at(w)
	run, size := int(symbol>>4), int(symbol&15)
	switch {
	case !ok:
		return closer(t.long(w))
	case size == 0 && run < 15:
		return ends | uint32(n)
	case n+size > w.known:
		return closer(describe(size, run+1, n))
	}
	return t.last(w, w.value(n, size)<<valueShift|uint32(run+1)<<stepShift|uint32(n+size), ac)
}

// last adds the code for the end of block to an entry that it follows.
func (t *Tables) last(w window, e uint32, ac *singles) uint32 {
	if symbol, n, ok := ac.at(w.after(int(e & lengthMask))); ok && symbol == 0 && n == t.end {
		e += ends | uint32(n)
	}
	return e
}

// passing is the entry for as many AC symbols as begin in the next bits.
func (t *Tables) passing(w window, most int, ac *singles) uint32 {
	if e, ok := skip(w, most, ac); ok {
		return e
	}
	symbol, n, ok := ac.at(w)
	if ok { // of more bits than an entry may take
		return closer(describe(int(symbol&15), int(symbol>>4)+1, n))
	}
	return t.ac[w.bits>>(firstPeek-peek)] // it needs a closer look there too
}

// skip is the entry for as many AC symbols as begin in the next bits and take
// no more than so many. It reports whether there are any.
func skip(w window, most int, ac *singles) (e uint32, ok bool) {
	length, step := 0, 0
	for {
		symbol, n, ok := ac.at(w)
		run, size := int(symbol>>4), int(symbol&15)
		if !ok || length+n+size > most || step+run > 62 {
			return uint32(step)<<stepShift | uint32(length), length > 0
		}
		length += n
		if size == 0 && run < 15 {
			return ends | uint32(step)<<stepShift | uint32(length), true
		}
		length, step, w = length+size, step+run+1, w.after(n+size)
	}
}

// long makes a row for the codes that begin with the next bits. It returns its
// number, 0 if there are no such codes.
func (t *Tables) long(w window) uint16 {
	row, any := &t.deep[t.rows%len(t.deep)], false
	for j := range row {
		symbol, n := t.acCodes.find(uint64(w.bits)<<(64-firstPeek) | uint64(j)<<48)
		if size := int(symbol & 15); n > w.known && size > 0 {
			row[j], any = describe(size, int(symbol>>4)+1, n), true
		}
	}
	if !any {
		return 0
	}
	t.rows++
	return uint16(t.rows - 1)
}
