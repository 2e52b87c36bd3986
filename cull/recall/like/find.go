package like

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"garner/preview/pix"
	"garner/preview/sched"
)

// Match is a frame that a picture may show.
type Match struct {
	Row   int
	Bits  float64 // how unlike they are: 0 alike, pix.Unrelated nothing in common
	Share float64 // of the frame's width or height, whichever is greater, that the picture shows

	Looked bool    // Closer has looked at it
	Agrees float64 // share of the picture that the frame has in the same places; meaningful if Looked

	lies lies
}

// lies says which of the ways to cut borders off a picture a frame looks like, and where
// on it: left and upper edge and width, as shares of the frame's width and height.
type lies struct {
	cut         int
	x, y, width float64
}

const (
	// mostSecond and mostThird are how many rows are compared with every crop, and how
	// many of those with finer ones.
	mostSecond = 8192
	mostThird  = 64
	// thirdWithin is how many bits behind the nearest a row is at most for that.
	thirdWithin = 8
)

// Find returns the rows that the picture may show, at most so many, nearest first.
func (c *Columns) Find(ctx context.Context, p *Picture, most int) ([]Match, error) {
	rows, err := c.first(ctx, p)
	if err != nil {
		return nil, err
	}
	if err := p.second(ctx, rows); err != nil {
		return nil, err
	}
	if err := p.third(ctx, rows, inOrder(rows)); err != nil {
		return nil, err
	}
	out := make([]Match, 0, min(len(rows), max(most, 0)))
	for _, i := range inOrder(rows) {
		r := &rows[i]
		if r.bits >= pix.Unrelated || len(out) == cap(out) {
			break
		}
		out = append(out, Match{Row: r.row, Bits: r.bits, Share: r.crop.Share(), lies: lies{r.cut, r.crop.X, r.crop.Y, r.crop.W}})
	}
	return out, nil
}

// row is one that the picture may show, as far as it has been compared.
type row struct {
	row   int
	bits  float64
	crop  pix.Crop
	look  *pix.Looks
	shape shape
	cut   int // of the picture, which is nearest
}

// inOrder are the places of rows, the nearest first: rows themselves are large to move.
func inOrder(rows []row) []int {
	type key struct {
		bits    float64
		row, at int
	}
	keys := make([]key, len(rows))
	for i := range rows {
		keys[i] = key{rows[i].bits, rows[i].row, i}
	}
	slices.SortFunc(keys, func(a, b key) int { return cmp.Or(cmp.Compare(a.bits, b.bits), cmp.Compare(a.row, b.row)) })
	order := make([]int, len(keys))
	for i, k := range keys {
		order[i] = k.at
	}
	return order
}

// seen is a row that was near enough when it was read.
type seen struct {
	row   int
	look  *pix.Looks
	bits  float32
	shape shape
}

// nearest keeps the mostSecond nearest rows.
type nearest struct {
	limit atomic.Uint32 // bits of a float32: rows further away are not among them

	mu   sync.Mutex
	rows []seen
	bits []float32 // room for cut
}

func (n *nearest) add(rows []seen) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.rows = append(n.rows, rows...)
	if len(n.rows) > 2*mostSecond {
		n.cut()
	}
}

// cut leaves the nearest rows, of those that are as far away as the last the first ones.
func (n *nearest) cut() {
	if len(n.rows) <= mostSecond {
		return
	}
	n.bits = n.bits[:0]
	for i := range n.rows {
		n.bits = append(n.bits, n.rows[i].bits)
	}
	slices.Sort(n.bits)
	last := n.bits[mostSecond-1]
	stay := n.rows[:0]
	var tied []seen
	for _, r := range n.rows {
		switch {
		case r.bits < last:
			stay = append(stay, r)
		case r.bits == last:
			tied = append(tied, r)
		}
	}
	slices.SortFunc(tied, func(a, b seen) int { return cmp.Compare(a.row, b.row) })
	n.rows = append(stay, tied[:mostSecond-len(stay)]...)
	n.limit.Store(math.Float32bits(last))
}

// first reads all rows and compares each with few crops.
func (c *Columns) first(ctx context.Context, p *Picture) ([]row, error) {
	if err := sched.Each(ctx, 256, func(ctx context.Context, s int) error {
		if c.have[s] == 0 || shape(s) == noLook {
			return nil
		}
		_, err := p.guess(shape(s))
		return err
	}); err != nil {
		return nil, err
	}
	var found nearest
	found.limit.Store(math.Float32bits(pix.Unrelated))
	rooms := sync.Pool{New: func() any { return &room{buffer: buffer()} }}
	err := sched.Each(ctx, c.blocks(), func(ctx context.Context, at int) error {
		w := rooms.Get().(*room)
		defer rooms.Put(w)
		if err := c.read(at, &w.block, w.buffer); err != nil {
			return err
		}
		b := &w.block
		w.rows = w.rows[:0]
		limit := math.Float32frombits(found.limit.Load())
		for from, to := 0, 0; from < b.rows; from = to {
			s := b.shapes[from]
			for to = from; to < b.rows && b.shapes[to] == s; to++ {
			}
			if s == noLook {
				continue
			}
			if c.have[s] == 0 {
				return FormatError("it is damaged")
			}
			g, err := p.guess(s)
			if err != nil {
				return err
			}
			w.probe(g.groups, from, to, limit)
		}
		for i, place := range b.order[:b.rows] {
			if b.shapes[place] != noLook && w.bits[place] <= limit {
				look := b.look(i, int(place))
				w.rows = append(w.rows, seen{at*blockRows + i, &look, w.bits[place], b.shapes[place]})
			}
		}
		found.add(w.rows)
		return nil
	})
	found.cut()
	rows := make([]row, len(found.rows))
	for i, r := range found.rows {
		rows[i] = row{row: r.row, look: r.look, shape: r.shape}
	}
	return rows, err
}

// room is what one block is compared in.
type room struct {
	buffer []byte
	block  block
	bits   [blockRows]float32
	rows   []seen
}

// probe compares rows of one shape, of which those within so many bits are wanted.
func (w *room) probe(groups []group, from, to int, within float32) {
	near := w.bits[from:to]
	for i := range near {
		near[i] = pix.Unrelated
	}
	var low [lowWords][]uint64
	for i := range low {
		low[i] = w.block.low[i][from:to]
	}
	for k := range groups {
		groups[k].probe(&low, near, within)
	}
}

// second compares rows with every crop.
func (p *Picture) second(ctx context.Context, rows []row) error {
	const some = 64
	return sched.Each(ctx, (len(rows)+some-1)/some, func(ctx context.Context, at int) error {
		for i := range rows[at*some : min((at+1)*some, len(rows))] {
			r := &rows[at*some+i]
			g, err := p.guess(r.shape)
			if err != nil {
				return err
			}
			r.bits, r.crop = pix.Unrelated, pix.Crop{W: 1, H: 1}
			for k, q := range g.queries {
				if bits, crop := q.Find(*r.look); bits < r.bits {
					r.bits, r.crop, r.cut = bits, crop, k
				}
			}
		}
		return ctx.Err()
	})
}

// third compares the nearest rows, in that order, with crops that are moved until they
// fit.
func (p *Picture) third(ctx context.Context, rows []row, inOrder []int) error {
	n := 0
	for n < min(len(rows), mostThird) && rows[inOrder[n]].bits < min(rows[inOrder[0]].bits+thirdWithin, pix.Unrelated) {
		n++
	}
	type of struct {
		shape shape
		cut   int
	}
	groups := map[of][]*row{}
	var order []of
	for _, i := range inOrder[:n] {
		r := &rows[i]
		k := of{r.shape, r.cut}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], r)
	}
	return sched.Each(ctx, len(order), func(ctx context.Context, at int) error {
		g, err := p.guess(order[at].shape)
		if err != nil {
			return err
		}
		var known []pix.Looks
		for _, r := range groups[order[at]] {
			known = append(known, *r.look)
		}
		bits, crops := g.queries[order[at].cut].Closer(known)
		for i, r := range groups[order[at]] {
			r.bits, r.crop = bits[i], crops[i]
		}
		return nil
	})
}
