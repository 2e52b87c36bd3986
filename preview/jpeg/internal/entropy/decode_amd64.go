//go:build !purego

package entropy

import (
	"unsafe"

	"golang.org/x/sys/cpu"
)

// state is a Reader's place between calls of assembly.
type state struct {
	at     uint64 // position in the buffer, in bits
	k      uint64 // position in the block
	inside uint64
	slot   uint64 // offset of the slot from the first, in bytes
}

// blocksBMI2 reads symbols until one is not in the lookup tables, or the
// reader comes to a byte of buf behind limit.
//
//go:noescape
func blocksBMI2(st *state, buf *buffer, slots *slot, natural *[64]uint8, limit int)

// firstBMI2 is blocksBMI2 for slots of which only the DC difference is wanted.
//
//go:noescape
func firstBMI2(st *state, buf *buffer, slots *slot, limit int)

const slotSize = uint64(unsafe.Sizeof(slot{}))

// stop is a table that answers nothing.
var stop = func() (t firstTable) {
	for i := range t {
		t[i] = closer(0)
	}
	return t
}()

// Path names the code that runs here: "bmi2" or "go".
func Path() string {
	if cpu.X86.HasBMI1 && cpu.X86.HasBMI2 {
		return "bmi2"
	}
	return "go"
}

func (r *Reader) decode(s *Strip, to int) {
	if !cpu.X86.HasBMI1 || !cpu.X86.HasBMI2 || r.plain {
		r.decodeGo(s, to)
		return
	}
	after := s.slots[to].dc
	s.slots[to].dc = &stop[0]
	limit := r.n - blockBytes
	if r.last {
		limit = r.n + 16
	}
	for r.i < to && !r.bad {
		st := state{at: uint64(r.at), k: uint64(r.k), inside: uint64(r.inside), slot: uint64(r.i) * slotSize}
		if s.first {
			firstBMI2(&st, &r.buf, &s.slots[0], limit)
		} else {
			blocksBMI2(&st, &r.buf, &s.slots[0], &Natural, limit)
		}
		r.at, r.k, r.inside, r.i = uint(st.at), uint(st.k), uint(st.inside), int(st.slot/slotSize)
		if int(st.at>>3) > limit-8 {
			break
		}
		if r.i < to {
			r.symbol(s)
		}
	}
	s.slots[to].dc = after
}
