package term

import (
	"slices"

	"garner/preview/jpeg"
)

// gatherer is a way whose terminal keeps a few drawings only: of older ones it
// has nothing left when it paints its window anew. Where more would be on the
// screen, they are drawn as one.
type gatherer interface {
	// keeps is how many drawings are kept, 0 for all.
	keeps() int
	// parts is how many a picture takes.
	parts(l layout) int
	// together draws pictures as one, in the cells of all.
	together(e *easel, g grid, all Area, pictures []placed) load
	// flush has the terminal keep nothing of what has been drawn so far, without
	// changing what is seen, and returns how many drawings that took.
	flush(o *ink) int
}

// placed is a picture in its cells.
type placed struct {
	picture *jpeg.Image
	layout
	look  Look
	cells Area
}

// flush sees to it that a picture that leaves its place to others does not come
// back from under them, and reports whether what stays is to be drawn anew.
func (p *Painter) flush(now []shown) bool {
	g, ok := p.way.(gatherer)
	if !ok {
		return false
	}
	left := slices.ContainsFunc(p.shown, func(old shown) bool {
		return old.sheet != nil && !slices.ContainsFunc(now, func(n shown) bool { return n.area == old.area })
	})
	if !left {
		return false
	}
	n := g.flush(&p.ink)
	p.drawn += n
	return n > 0
}

// crowd reports whether with what is to be drawn now something on the screen
// would be among the drawings that are no longer kept.
func (p *Painter) crowd(now []shown, again bool) bool {
	g, ok := p.way.(gatherer)
	if !ok || g.keeps() == 0 {
		return false
	}
	grid := p.grid()
	count, first := 0, p.drawn
	var all Area
	for i := range now {
		all = all.with(now[i].cells)
		switch n := &now[i]; {
		case n.sheet == nil:
		case p.stays(n, p.standing(n.area), again):
			first = min(first, p.standing(n.area).drawn)
		default:
			count += g.parts(n.sheet.layout)
		}
	}
	if float64(all.Cols)*grid.w > maxEdge || float64(all.Rows)*grid.h > maxEdge {
		return false
	}
	return count > 0 && p.drawn-first+count > g.keeps()
}

// join makes room for a piece that is drawn with all others.
func (p *Painter) join(n, old *shown) {
	at := p.spot(n, old)
	if n.sheet == nil {
		at.clear(&p.ink)
		return
	}
	at.clearAround(&p.ink, n.sheet.layout)
}

// gather draws all pieces as one.
func (p *Painter) gather(pieces []Piece, now []shown) {
	var all Area
	var pictures []placed
	for i := range now {
		n := &now[i]
		for k := range pieces {
			if n.sheet == nil || keyOf(&pieces[k], n.sheet.layout) != n.sheet.key {
				continue
			}
			pictures = append(pictures, placed{pieces[k].Picture, n.sheet.layout, n.sheet.look, n.cells})
			all = all.with(n.cells)
			break
		}
	}
	l := p.way.(gatherer).together(&p.easel, p.grid(), all, pictures)
	p.ink.drawings(l, all)
	for i := range now {
		now[i].drawn = p.drawn
	}
	p.drawn += len(l.parts)
}

// drew counts the drawings of a piece.
func (p *Painter) drew(n *shown, l load) {
	n.drawn = p.drawn
	p.drawn += len(l.parts)
}

// with is the smallest area that holds both.
func (a Area) with(b Area) Area {
	if a.Cols == 0 || a.Rows == 0 {
		return b
	}
	right, low := max(a.Col+a.Cols, b.Col+b.Cols), max(a.Row+a.Rows, b.Row+b.Rows)
	a.Col, a.Row = min(a.Col, b.Col), min(a.Row, b.Row)
	a.Cols, a.Rows = right-a.Col, low-a.Row
	return a
}
