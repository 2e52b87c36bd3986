package term

// entry is one Write or Send.
type entry struct {
	p    []byte
	keep bool // not dropped with the renderer's frames
}

// queue holds what is to be written, in order and up to a limit. Frames are
// differences to those before them: none can be left out alone. Where the
// terminal does not take them for so long that the limit is reached, all that
// wait go, and the next until somebody has been told that a full repaint is
// needed. Nothing is ever cut within one Write.
type queue struct {
	entries []entry
	size    int
	limit   int
	lost    bool
}

func (q *queue) push(p []byte, keep bool) {
	if q.size+len(p) > q.limit {
		q.drop()
	}
	if keep && q.size+len(p) > q.limit { // the rest is what fills it
		q.entries, q.size = nil, 0
	}
	if q.lost && !keep || len(p) > q.limit {
		return
	}
	q.entries = append(q.entries, entry{append([]byte(nil), p...), keep})
	q.size += len(p)
}

// drop drops the frames.
func (q *queue) drop() {
	kept, size := q.entries[:0], 0
	for _, e := range q.entries {
		if e.keep {
			kept = append(kept, e)
			size += len(e.p)
		}
	}
	clear(q.entries[len(kept):])
	q.entries, q.size, q.lost = kept, size, true
}

// take empties the queue onto buf.
func (q *queue) take(buf []byte) []byte {
	for _, e := range q.entries {
		buf = append(buf, e.p...)
	}
	clear(q.entries)
	q.entries, q.size = q.entries[:0], 0
	return buf
}
