package recall

import (
	"hash/maphash"
	"math/bits"
)

// idSet finds the places of ids in a list: a table of places, which are compared by what
// the list has there. Of millions of frames it takes a few bytes each.
type idSet struct {
	table []uint32 // place + 1; 0 = free
	used  int
	seed  maphash.Seed
}

// put notes that an id is going to be at a place of the list, or tells where it is.
func (s *idSet) put(id uint64, place int, list []match) (at int, had bool) {
	if 2*(s.used+1) > len(s.table) {
		s.grow(list)
	}
	for i := s.slot(id); ; i = (i + 1) & (len(s.table) - 1) {
		n := s.table[i]
		if n == 0 {
			s.table[i] = uint32(place + 1)
			s.used++
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
	return int(maphash.Comparable(s.seed, id) >> (64 - bits.Len(uint(len(s.table)-1))))
}

func (s *idSet) grow(list []match) {
	if s.table == nil {
		s.seed = maphash.MakeSeed()
	}
	s.table = make([]uint32, max(1<<12, 4*len(s.table)))
	for place := range list {
		i := s.slot(list[place].id)
		for s.table[i] != 0 {
			i = (i + 1) & (len(s.table) - 1)
		}
		s.table[i] = uint32(place + 1)
	}
}
