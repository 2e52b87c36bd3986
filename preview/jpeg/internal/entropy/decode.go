package entropy

// decodeGo reads the blocks up to slot to as far as buf reaches.
func (r *Reader) decodeGo(s *Strip, to int) {
	stop := uint(r.n) << 3
	if !r.last {
		stop = uint(r.n-blockBytes) << 3
	}
	for r.i < to && r.at <= stop && !r.bad {
		k := &s.slots[r.i]
		switch {
		case s.first:
			r.firstGo(s, k)
		case k.first:
			r.dropGo(s, k)
		default:
			r.blockGo(s, k)
		}
	}
}

// blockGo reads one block.
func (r *Reader) blockGo(s *Strip, slot *slot) {
	block := &s.Coef[slot.at]
	at := r.at
	w := r.buf.load(at)
	e := slot.tables.dc[w>>(64-peek)]
	k := uint(e >> stepShift & stepMask)
	if k != 0 {
		r.symbol(s)
		if r.bad {
			return
		}
		at, k, e = r.at, 0, 0
	} else {
		block[0] = int16(e >> valueShift)
		at += uint(e & lengthMask)
	}
	table := &slot.tables.ac
	for e&ends == 0 {
		w = r.buf.load(at)
		for range 3 {
			e = table[w>>(64-peek)]
			w <<= e & lengthMask
			k += uint(e >> stepShift & stepMask)
			if k >= 63 {
				break
			}
			at += uint(e & lengthMask)
			block[Natural[k&63]&63] += int16(e >> valueShift)
			if e&ends != 0 {
				break
			}
		}
		if k >= 63 {
			if k == 63 {
				at += uint(e & lengthMask)
				block[63] = int16(e >> valueShift)
				if e&ends != 0 { // no such code follows the last coefficient
					at -= uint(slot.end)
				}
				break
			}
			k -= uint(e >> stepShift & stepMask)
			w = r.buf.load(at)
			if size, step, code := slot.tables.closer(w, e); code > 0 && k+step <= 63 {
				k += step
				at += code + size
				block[Natural[k&63]&63] = int16(extend(w<<code, int(size)))
				if k == 63 {
					break
				}
				e = 0
				continue
			}
			r.at, r.k, r.inside = at, k, 1
			i := r.i
			r.symbol(s)
			if r.i != i || r.bad {
				return
			}
			at, k, e = r.at, r.k, 0
		}
	}
	r.at, r.k = at, k
	r.ended(slot)
}

// firstGo reads the DC difference of a block.
func (r *Reader) firstGo(s *Strip, slot *slot) {
	dc, ac := &slot.tables.firstDC, &slot.tables.firstAC
	at := r.at
	w := r.buf.load(at)
	e := dc[w>>(64-firstPeek)]
	k := uint(e >> stepShift & stepMask)
	if k >= 63 {
		r.symbol(s)
		if r.bad {
			return
		}
		at, k, e = r.at, 0, 0
	} else {
		*slot.to = int16(e >> valueShift)
		at += uint(e & lengthMask)
	}
	for e&ends == 0 {
		w = r.buf.load(at)
		for range 3 {
			e = ac[w>>(64-firstPeek)]
			w <<= e & lengthMask
			k += uint(e >> stepShift & stepMask)
			if k >= 63 {
				r.at, r.k, r.inside = at, k-uint(e>>stepShift&stepMask), 1
				r.symbol(s)
				return
			}
			at += uint(e & lengthMask)
			if e&ends != 0 {
				break
			}
		}
	}
	r.at, r.k = at, k
	r.ended(slot)
}

// dropGo reads a block of which only the DC difference is wanted, among others
// of which all is.
func (r *Reader) dropGo(s *Strip, slot *slot) {
	at := r.at
	e := slot.tables.dc[r.buf.load(at)>>(64-peek)]
	k := uint(e >> stepShift & stepMask)
	if k >= 63 {
		r.symbol(s)
		if r.bad {
			return
		}
		at, k, e = r.at, 0, 0
	} else {
		*slot.to = int16(e >> valueShift)
		at += uint(e & lengthMask)
	}
	for e&ends == 0 {
		e = slot.tables.pass[r.buf.load(at)>>(64-peek)]
		step := uint(e >> stepShift & stepMask)
		if k += step; k >= 63 {
			r.at, r.k, r.inside = at, k-step, 1
			r.symbol(s)
			return
		}
		at += uint(e & lengthMask)
	}
	r.at, r.k = at, k
	r.ended(slot)
}
