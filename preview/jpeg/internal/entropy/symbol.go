package entropy

// symbol reads one symbol of slot r.i: what a lookup did not answer. Of a block
// whose AC coefficients are passed over it reads all that are left.
func (r *Reader) symbol(s *Strip) {
	k := &s.slots[r.i]
	w := r.buf.load(r.at)
	if r.inside == 0 {
		if size, _, n := k.tables.closer(w, k.tables.dc[w>>(64-peek)]); n > 0 {
			*k.to = int16(extend(w<<n, int(size)))
			r.at += n + size
			r.inside, r.k = 1, 0
			return
		}
		size, n := k.tables.codes.find(w)
		if n == 0 || size > 15 {
			r.bad = true
			return
		}
		*k.to = int16(extend(w<<n, int(size)))
		r.at += uint(n) + uint(size)
		r.inside, r.k = 1, 0
		return
	}
	if k.first {
		r.rest(k)
		return
	}
	symbol, n := k.tables.acCodes.find(w)
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
	s.Coef[k.at][Natural[r.k]] = int16(extend(w<<n, size))
	if r.k == 63 {
		r.ended(k)
	}
}

// closer returns what the description of entry e says, for the bits w: how many
// bits the value has, the step to it, and the bits of the code; 0 of these if it
// is not known.
func (t *Tables) closer(w uint64, e uint32) (size, step, code uint) {
	if e>>stepShift&stepMask != more {
		return 0, 0, 0
	}
	d := uint(e >> valueShift)
	if d>>9 == 0 {
		d = uint(t.deep[d%uint(len(t.deep))][w>>48&(1<<(16-peek)-1)])
	}
	return d & 15, d >> 4 & 31, d >> 9
}

// rest passes over the AC coefficients that a block still has, one by one.
func (r *Reader) rest(slot *slot) {
	table := &slot.tables.ac
	for r.k < 63 {
		w := r.buf.load(r.at)
		e := table[w>>(64-peek)]
		n, step := uint(e&lengthMask), uint(e>>stepShift&stepMask)
		if size, far, code := slot.tables.closer(w, e); code > 0 {
			n, step, e = code+size, far, 0
		} else if step == more {
			symbol, code := slot.tables.acCodes.find(w)
			if code == 0 {
				r.bad = true
				return
			}
			run, size := uint(symbol>>4), uint(symbol&15)
			n, step, e = uint(code)+size, run+1, 0
			if size == 0 && run < 15 {
				step, e = 0, ends
			}
		}
		r.at, r.k = r.at+n, r.k+step
		if e&ends != 0 {
			if r.k == 63 && step > 0 { // no such code follows the last coefficient
				r.at -= uint(slot.end)
			}
			break
		}
	}
	if r.k > 63 {
		r.bad = true
		return
	}
	r.ended(slot)
}

// ended goes on to the next slot.
func (r *Reader) ended(k *slot) {
	k.last = uint8(r.k)
	r.i, r.k, r.inside = r.i+1, 0, 0
}
