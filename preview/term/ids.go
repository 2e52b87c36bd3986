package term

import "os"

// maxIDs is how many pictures a painter can have in a terminal's store: as many
// as a palette has colours but for the first.
const maxIDs = 255

// blockIDs is how many ids a painter normally gets along with. Painters of
// several programs, in the panes of one terminal, start at different blocks as
// long as they can.
const blockIDs = 17

// ids gives out a painter's picture ids, those of its block first.
type ids struct {
	first  int  // id of the first, from 1
	colour bool // ids are colours of the palette, and go round at its end
	used   [maxIDs]bool
	freed  [maxIDs]uint64 // when, by the clock
	clock  uint64
}

// newIDs starts at first, or by the process where that is not 1 to 255.
func newIDs(m Mode, first int) ids {
	if m != KittyCells {
		return ids{first: 0x61000000 | os.Getpid()&0xffff<<8 | 1}
	}
	if first < 1 || first > maxIDs {
		first = 1 + os.Getpid()%(maxIDs/blockIDs)*blockIDs
	}
	return ids{first: first, colour: true}
}

func (d *ids) at(i int) int {
	if d.colour {
		return 1 + (d.first-1+i)%maxIDs
	}
	return d.first + i
}

// take returns a free id, or 0: of a painter's block the one that has been free
// for the longest time, in case that something still shows cells of it.
func (d *ids) take() int {
	best := -1
	for i, used := range d.used {
		if best >= 0 && i >= blockIDs {
			break
		}
		if !used && (best < 0 || d.freed[i] < d.freed[best]) {
			best = i
		}
	}
	if best < 0 {
		return 0
	}
	d.used[best] = true
	return d.at(best)
}

// give takes an id back that the terminal has forgotten.
func (d *ids) give(id int) {
	i := id - d.first
	if d.colour {
		i = (i + maxIDs) % maxIDs
	}
	d.clock++
	d.used[i], d.freed[i] = false, d.clock
}

// ever returns all that were ever taken.
func (d *ids) ever() (all []int) {
	for i := range d.used {
		if d.used[i] || d.freed[i] != 0 {
			all = append(all, d.at(i))
		}
	}
	return all
}
