package jpeg

import (
	"garner/preview/jpeg/internal/dct"
	"garner/preview/jpeg/internal/entropy"
)

// This file lays a picture out in blocks: ITU-T T.81 A.1.1 (sizes of
// components), A.2 (order of blocks) and A.2.4 (what fills them up).

// grid is how one component lies in the units of the scan.
type grid struct {
	h, v          int // blocks of one unit, across and down
	width, height int // samples of the picture
	q             *dct.Table
	first         int // the first of its blocks in a strip
}

// layout is a frame that this package decodes by itself.
type layout struct {
	*header
	grids       [3]grid
	n           int // of them in use
	across      int // units in a row
	down        int // rows of units
	unitHeight  int // rows of luma samples in one
	unitWidth   int
	subX, subY  int
	rgb         bool // the components are red, green and blue
	perUnit     int  // blocks
	stripUnits  int  // units that are decoded at a time
	stripBlocks int
}

// stripSize is how many blocks are decoded before they are transformed: few
// enough to stay in the fastest cache.
const stripSize = 192

// sequential lays out h if it is of the common kind: sequential, one scan of
// everything, chroma at a whole fraction of luma in both planes.
func (l *layout) sequential(h *header) bool {
	*l = layout{header: h, n: h.Components}
	if h.Progressive || h.Precision != 8 || len(h.scanning) != h.Components || h.Components == 4 {
		return false
	}
	y := h.comps[0]
	seen := 0
	for _, c := range h.scanning {
		seen |= 1 << c.place
		l.perUnit += c.h * c.v
	}
	if seen != 1<<h.Components-1 || l.perUnit > 10 { // B.2.3
		return false
	}
	l.subX, l.subY = 1, 1
	if h.Components == 3 {
		c := h.comps[1]
		if c.h != h.comps[2].h || c.v != h.comps[2].v || y.h%c.h != 0 || y.v%c.v != 0 {
			return false
		}
		l.subX, l.subY = y.h/c.h, y.v/c.v
		l.rgb = h.adobe == 0 || c.id == 'G' && y.id == 'R' && h.comps[2].id == 'B'
		l.rgb = l.rgb && !h.jfif
		if l.subX == 3 || l.subY == 3 || l.rgb && l.subX*l.subY != 1 {
			return false
		}
	}
	l.unitWidth, l.unitHeight, l.across, l.down = h.mcu()
	for i, c := range h.comps {
		g := &l.grids[i]
		*g = grid{h: c.h, v: c.v, q: &h.quant[c.tq&3].steps}
		g.width, g.height = ceilDiv(h.Width*c.h, y.h), ceilDiv(h.Height*c.v, y.v)
	}
	l.strips(max(1, stripSize/l.perUnit))
	return true
}

// strips sets the size of a strip.
func (l *layout) strips(units int) {
	l.stripUnits, l.stripBlocks = units, 0
	for i := range l.n {
		g := &l.grids[i]
		g.first = l.stripBlocks
		l.stripBlocks += units * g.h * g.v
	}
}

// tablesThere returns an error if the scan needs a table that was not sent.
func (l *layout) tablesThere() error {
	for _, c := range l.scanning {
		if l.tables[0][c.dc].bits == 0 || l.tables[1][c.ac].bits == 0 {
			return FormatError("a Huffman table is missing")
		}
		if c.tq > 3 || !l.quant[c.tq].set {
			return FormatError("a quantisation table is missing")
		}
	}
	return nil
}

// list appends the blocks of one unit in the order of the scan.
func (l *layout) list(units []entropy.Unit, t tableCache, src []byte, luma bool) ([]entropy.Unit, error) {
	for _, c := range l.scanning {
		tables := t.get(l.spec(src, 0, c.dc), l.spec(src, 1, c.ac))
		if tables == nil {
			return nil, FormatError("a Huffman table with too many codes")
		}
		for y := range c.v {
			for x := range c.h {
				units = append(units, entropy.Unit{
					Tables: tables, Comp: c.place, Step: c.h,
					Drop: luma && c.place > 0,
					At:   l.grids[c.place].first + y*l.stripUnits*c.h + x,
				})
			}
		}
	}
	return units, nil
}

// spec returns the definition of a Huffman table.
func (l *layout) spec(src []byte, class, dest int) []byte {
	t := l.tables[class][dest]
	return src[t.at : t.at+16+int64(t.count)]
}

// tableCache keeps tables by how they were defined, in pairs for DC and AC:
// pictures of one camera have the same ones.
type tableCache map[tableKey]*entropy.Tables

type tableKey struct{ dc, ac string }

const maxTables = 16

// get returns nil for tables that are not sound.
func (t tableCache) get(dc, ac []byte) *entropy.Tables {
	if found := t[tableKey{string(dc), string(ac)}]; found != nil {
		return found
	}
	made, ok := entropy.NewTables(dc, ac)
	if !ok {
		return nil
	}
	if len(t) >= maxTables {
		clear(t)
	}
	t[tableKey{string(dc), string(ac)}] = made
	return made
}
