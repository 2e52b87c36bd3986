package like

import (
	"cmp"
	"encoding/binary"
	"math/bits"
	"slices"
)

// This file holds eight probes at once against one word of a row. In how many bits they
// differ is eight counts in the bytes of one number; what each byte of the row adds to
// them is looked up. That takes a third of the steps that eight differences take, and
// the tables of a group fit into the nearest memory of a core.

// groupSize is how many probes a group has: one for each byte of a number.
const groupSize = 8

// group is probes that begin with the same word.
type group struct {
	word   int
	counts [8][256]uint64 // for each value of each byte of the word: the bits that differ, a byte for each probe
	probes []probe
}

const (
	above = 0x80 // is left of a limit if no more bits differ than may
	never = 0x40 // is the limit of a probe that need not be looked at

	eightfold = 0x0101010101010101 // times a byte is that byte eight times
)

// groupsOf brings probes together.
func groupsOf(few []probe) []group {
	few = slices.Clone(few)
	slices.SortStableFunc(few, func(a, b probe) int { return cmp.Compare(a.word, b.word) })
	var out []group
	for from := 0; from < len(few); {
		to := from + 1
		for to < min(len(few), from+groupSize) && few[to].word == few[from].word {
			to++
		}
		out = append(out, newGroup(few[from:to]))
		from = to
	}
	return out
}

func newGroup(probes []probe) group {
	g := group{word: probes[0].word, probes: probes}
	for k := range probes {
		p := &probes[k]
		var low, mask [8]byte
		binary.LittleEndian.PutUint64(low[:], p.low[g.word])
		binary.LittleEndian.PutUint64(mask[:], p.mask[g.word])
		for i := range g.counts {
			for v := range g.counts[i] {
				g.counts[i][v] |= uint64(bits.OnesCount8((byte(v)^low[i])&mask[i])) << (8 * k)
			}
		}
	}
	return g
}

// limit is, for each probe, above and how many bits may differ. Where a row is wanted only
// if it is near enough, that is fewer the fewer windows the probe has.
func (g *group) limit(within float32) (all uint64) {
	for k := range groupSize {
		limit := uint64(never)
		if k < len(g.probes) {
			p := &g.probes[k]
			// One more than it takes, for what was rounded.
			if most := min(p.most, int((within-p.base)/p.slope)+1); within >= p.base {
				limit = uint64(above + most)
			}
		}
		all |= limit << (8 * k)
	}
	return all
}

// probe compares rows. What near says of how unlike they are gets less where a probe is
// nearer; further away than within it need not be true.
func (g *group) probe(low *[lowWords][]uint64, near []float32, within float32) {
	c, limit := &g.counts, g.limit(within)
	if limit == never*eightfold {
		return
	}
	for i, v := range low[g.word] {
		n := c[0][byte(v)] + c[1][byte(v>>8)] + c[2][byte(v>>16)] + c[3][byte(v>>24)] +
			c[4][byte(v>>32)] + c[5][byte(v>>40)] + c[6][byte(v>>48)] + c[7][byte(v>>56)]
		for hit := (limit - n) & (above * eightfold); hit != 0; hit &= hit - 1 {
			p := &g.probes[bits.TrailingZeros64(hit)/8]
			near[i] = min(near[i], p.unlike(&fields{low[0][i], low[1][i], low[2][i], low[3][i]}))
		}
	}
}

// unlike is how unlike a row with these low bits is.
func (p *probe) unlike(low *fields) float32 {
	return p.base + float32(p.slope*float32(apart(low, &p.low, &p.mask)))
}
