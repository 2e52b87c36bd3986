package recall

import (
	"math/bits"
	"math/rand/v2"
)

// idSet finds the places of ids in a list: a table of places, which are compared by what
// the list has there. Of millions of frames it takes a few bytes each.
type idSet struct {
	table []uint32 // place + 1; 0 = free
	seed  [2]uint64
}

// put notes that an id is going to be at a place of the list, or tells where it is. There
// has to be room for it.
func (s *idSet) put(id uint64, place int, list []match) (at int, had bool) {
	for i := s.slot(id); ; i = (i + 1) & (len(s.table) - 1) {
		n := s.table[i]
		if n == 0 {
			s.table[i] = uint32(place + 1)
			return place, false
		}
		if list[n-1].id == id {
			return int(n - 1), true
		}
	}
}

// slot is where the search for an id begins. Ids are sums already, but a record of somebody
// else's may hold any: nobody can choose them so that they meet.
func (s *idSet) slot(id uint64) int {
	high, low := bits.Mul64(id^s.seed[0], s.seed[1])
	return int((high ^ low) >> (64 - bits.Len(uint(len(s.table)-1))))
}

// size makes room for n ids, those of the list among them.
func (s *idSet) size(n int, list []match) {
	if s.table == nil {
		s.seed = [2]uint64{rand.Uint64(), rand.Uint64() | 1}
	}
	s.table = make([]uint32, 1<<bits.Len(uint(max(2*n, 1<<12)-1)))
	for place := range list {
		i := s.slot(list[place].id)
		for s.table[i] != 0 {
			i = (i + 1) & (len(s.table) - 1)
		}
		s.table[i] = uint32(place + 1)
	}
}
