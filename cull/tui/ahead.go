package tui

import (
	"image"
	"slices"

	"garner/cull"
	"garner/cull/station"
	"garner/preview/term"
)

// ahead is what the painter was told to prepare.
type ahead struct {
	of     viewedAhead
	wanted []term.Piece
}

// viewedAhead is everything that the pictures that are coming depend on.
type viewedAhead struct {
	version uint64
	at      areas
	painter *term.Painter
}

// sendAhead tells the painter which pictures the next keys may ask for, so that
// showing one is no more than placing it.
func (m *Model) sendAhead() {
	p := &m.pictures
	if p.holding || m.left || m.covered() || p.writing != 0 { // while it paints the painter would have to be waited for
		return
	}
	of := viewedAhead{m.desk.Version(), m.at, p.painter}
	if of == p.ahead.of {
		return
	}
	same := of.painter == p.ahead.of.painter
	p.ahead.of = of
	var pieces []term.Piece
	for _, s := range m.desk.Coming() {
		if s.Tiles != nil {
			pieces = append(pieces, m.pieces(s, m.at.picture)...)
			continue
		}
		pieces = append(pieces, m.piece(s, m.arranged(m.desk.HasLadder(s.Frame)).picture))
	}
	if !same || !slices.EqualFunc(pieces, p.ahead.wanted, samePiece) {
		p.ahead.wanted = pieces
		p.painter.Want(pieces)
	}
}

func samePiece(a, b term.Piece) bool {
	return a.Picture == b.Picture && a.Area == b.Area && a.Look == b.Look
}

// piece is a shot's picture as it is drawn.
func (m *Model) piece(s station.Shot, r rect) term.Piece {
	return term.Piece{Picture: s.Picture, JPEG: s.Source, Area: r.area(), Look: m.lookOf(s.Answer)}
}

// lookOf is how a picture looks by its answer. Where a line of the review is walked
// the dropped frames are looked at again: they are as bright as all.
func (m *Model) lookOf(a cull.Answer) term.Look {
	_, _, _, alone := m.desk.Shown()
	return term.Look{Dim: a == cull.No && !alone}
}

// arranged divides the screen as it is, with a ladder or without.
func (m *Model) arranged(ladder bool) areas {
	return arrange(m.width, m.height, m.desk.Pass().Name != cull.KeepPass, m.facts || m.field != nil, ladder)
}

// size is how many pixels an area has. The painter is asked once: while it paints
// it answers late.
func (p *pictures) size(a term.Area) image.Point {
	if at, ok := p.sizes[a]; ok {
		return at
	}
	if p.sizes == nil || len(p.sizes) > 64 {
		p.sizes = map[term.Area]image.Point{}
	}
	w, h := p.painter.Pixels(a)
	p.sizes[a] = image.Pt(w, h)
	return p.sizes[a]
}
