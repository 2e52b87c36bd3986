package entropy

// symbol reads one symbol of slot r.i without lookup tables: what a lookup did
// not answer. Of a block whose AC coefficients are passed over it reads all
// that are left.
func (r *Reader) symbol(s *Strip) {
	k := &s.slots[r.i]
	w := r.buf.load(r.at)
	if r.inside == 0 {
		size, n := k.tables.dc.find(w)
		if n == 0 || size > 15 {
			r.bad = true
			return
		}
		*k.to = int16(extend(w<<n, int(size)))
		r.at += uint(n) + uint(size)
		r.inside, r.k = 1, 0
		return
	}
	for {
		symbol, n := k.tables.ac.find(w)
		run, size := uint(symbol>>4), int(symbol&15)
		r.at += uint(n + size)
		switch {
		case n == 0:
			r.bad = true
			return
		case size == 0 && run < 15:
			r.ended(k)
			return
		}
		if r.k += run + 1; r.k > 63 {
			r.bad = true
			return
		}
		if !k.first {
			s.Coef[k.at][Natural[r.k]] = int16(extend(w<<n, size))
		}
		if r.k == 63 {
			r.ended(k)
			return
		}
		if !k.first {
			return
		}
		w = r.buf.load(r.at)
	}
}

// ended goes on to the next slot.
func (r *Reader) ended(k *slot) {
	k.last = uint8(r.k)
	r.i, r.k, r.inside = r.i+1, 0, 0
}
