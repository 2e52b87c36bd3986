package entropy

// Block holds the quantised coefficients of one block in natural order.
type Block = [64]int16

// Unit is one block of a minimum coded unit (T.81 A.2.3).
type Unit struct {
	Tables *Tables
	Comp   int  // whose predictor it uses: 0, 1 or 2
	Drop   bool // only its DC coefficient is wanted: the others are undefined
	At     int  // place of the block in the first unit of a strip
	Step   int  // from there to its place in the next
}

// Strip is room for the blocks of a stretch of units.
type Strip struct {
	Coef []Block // by place, zero before they are read
	DC   []int16 // of a strip of DC coefficients alone
	Last []uint8 // by place: index of the last coefficient in zigzag order

	slots []slot // in the order of the scan, and two more
	units int    // blocks of one
	first bool   // DC coefficients alone
}

// slot is one block to be read: with what, and where it goes. Assembly knows
// where its fields lie.
type slot struct {
	ac, dc *uint32 // the first entries of its tables
	to     *int16  // its DC coefficient
	last   uint8
	end    uint8 // Tables.end
	comp   uint8
	first  bool // AC coefficients are passed over
	at     int32
	deep   *[257][1 << (16 - peek)]uint16
	tables *Tables
}

// Reset makes room for n units of these blocks, which have places below
// blocks. With first only their DC coefficients are read.
func (s *Strip) Reset(units []Unit, n, blocks int, first bool) {
	s.units, s.first = len(units), first
	if first {
		if cap(s.DC) < blocks {
			s.DC = make([]int16, blocks)
		}
		s.DC = s.DC[:blocks]
		clear(s.DC)
	} else {
		if cap(s.Coef) < blocks {
			s.Coef, s.Last = make([]Block, blocks), make([]uint8, blocks)
		}
		s.Coef, s.Last = s.Coef[:blocks], s.Last[:blocks]
		clear(s.Coef)
	}
	count := n*len(units) + 2 // assembly looks one ahead of the one that stops it
	if cap(s.slots) < count {
		s.slots = make([]slot, count)
	}
	s.slots = s.slots[:count]
	for _, u := range units {
		u.Tables.make(first)
	}
	i := 0
	for m := range n {
		for _, u := range units {
			at := u.At + m*u.Step
			k := slot{at: int32(at), comp: uint8(u.Comp), first: first || u.Drop, end: uint8(u.Tables.end), deep: &u.Tables.deep, tables: u.Tables}
			switch {
			case first:
				k.dc, k.ac, k.to = &u.Tables.firstDC[0], &u.Tables.firstAC[0], &s.DC[at]
			case u.Drop:
				k.dc, k.ac, k.to = &u.Tables.dc[0], &u.Tables.pass[0], &s.Coef[at][0]
			default:
				k.dc, k.ac, k.to = &u.Tables.dc[0], &u.Tables.ac[0], &s.Coef[at][0]
			}
			s.slots[i] = k
			i++
		}
	}
	s.slots[i], s.slots[i+1] = s.slots[0], s.slots[0]
}

// Forget drops what belongs to one picture.
func (s *Strip) Forget() { clear(s.slots) }

// Reader reads the blocks of a scan in their order.
type Reader struct {
	segment
	pred [3]int16
	bad  bool

	plain bool // plain Go, for tests

	// Where in a strip it stands. Between blocks k is 0 and inside 0.
	i      int
	k      uint
	inside uint // 1 behind the DC difference of a block
}

// Open goes to the beginning of entropy-coded data in src.
func (r *Reader) Open(src []byte, offset int) { r.Resume(src, offset, 0, [3]int16{}) }

// Resume goes to where Place was, with Pred as it was.
func (r *Reader) Resume(src []byte, offset int, bit uint, pred [3]int16) {
	r.src, r.pred, r.bad = src, pred, false
	r.i, r.k, r.inside = 0, 0, 0
	r.seek(offset, bit)
}

// Close lets go of the data.
func (r *Reader) Close() { r.src = nil }

// Place returns where in the data the reader stands: the byte, and the bit in
// it.
func (r *Reader) Place() (offset int, bit uint) {
	return r.offset(int(r.at >> 3)), r.at & 7
}

// Pred returns what the next DC coefficients are predicted from, by component
// (T.81 F.1.1.5.1).
func (r *Reader) Pred() [3]int16 { return r.pred }

// Restart takes the restart marker that is due, number n modulo 8.
func (r *Reader) Restart(n int) bool {
	r.pred = [3]int16{}
	return r.restart(n)
}

// Read reads units from number from on up to to. It reports whether all of
// them were there and sound. Otherwise the contents of the strip are undefined,
// and so are later reads before the next Resume.
func (r *Reader) Read(s *Strip, from, to int) bool {
	from, to = from*s.units, to*s.units
	r.i = from
	for {
		r.decode(s, to)
		if r.bad || r.over() {
			return false
		}
		if r.i == to {
			break
		}
		if r.last {
			return false
		}
		r.fill()
	}
	r.predict(s, from, to)
	return true
}

// predict makes coefficients of differences.
func (r *Reader) predict(s *Strip, from, to int) {
	pred := &r.pred
	for i := range s.slots[from:to] {
		k := &s.slots[from+i]
		v := *k.to + pred[k.comp&3%3]
		*k.to, pred[k.comp&3%3] = v, v
		if at := uint(k.at); at < uint(len(s.Last)) {
			s.Last[at] = k.last
		}
	}
}
