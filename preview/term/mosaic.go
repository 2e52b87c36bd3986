package term

import (
	"slices"

	"garner/preview/jpeg"
)

// Piece is a picture and where it is to be seen.
type Piece struct {
	Picture *jpeg.Image // never changed after it was first shown; the same pointer is the same picture
	JPEG    []byte      // the same picture as JPEG bytes, upright, if there are any: OSC 1337 passes them on as they are
	Area    Area        // cells it may fill; keeps its shape, centred
	Look    Look
}

// Mosaic shows several pictures at once in place of all before. Their areas do
// not overlap; what of them is outside whole is left away. Of each area the
// cells that its picture leaves free are cleared; all other cells are not
// touched, whatever stood there. Pieces that are on the screen already, the same
// in the same area, are not sent again. A piece without a valid picture only
// clears; of more pictures than a terminal can tell apart (255), the last ones as
// well. What it returns is valid as Paint says.
func (p *Painter) Mosaic(pieces []Piece, whole Area) []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.mosaic(pieces, whole, false)
}

// mosaic is Mosaic; again shows also what is there already.
func (p *Painter) mosaic(pieces []Piece, whole Area, again bool) []byte {
	if p.closed {
		return nil
	}
	p.store.turn++
	now, ok := p.plan(pieces, whole)
	if !ok {
		p.store.turn--
		return nil
	}
	p.ink.begin()
	p.settle(now)
	again = p.flush(now) || again
	crowd := p.crowd(now, again)
	for i := range now {
		n, old := &now[i], p.standing(now[i].area)
		switch {
		case crowd:
			p.join(n, old)
		case p.stays(n, old, again):
			*n = *old
		default:
			p.bring(n, old)
		}
	}
	if crowd {
		p.gather(pieces, now)
	}
	p.store.trim(0, 0, 0)
	p.replace(now)
	p.stale = false
	p.files.batch()
	p.ahead.kick()
	return p.ink.end()
}

// plan lays the pieces out and prepares those that are not. It reports whether
// all are.
func (p *Painter) plan(pieces []Piece, whole Area) ([]shown, bool) {
	now := p.spare[:0]
	for i := range pieces {
		piece := &pieces[i]
		n := shown{area: p.clip(piece.Area.within(whole))}
		if n.area.Cols == 0 || n.area.Rows == 0 {
			continue
		}
		if piece.Picture.Valid() {
			l := p.fit(piece.Picture, n.area)
			n.sheet, n.cells = p.store.sheet(piece, l), l.in(n.area)
			n.sheet.turn = p.store.turn // from here on it stays
			if !p.made(n.sheet) {
				delete(p.store.sheets, n.sheet.key)
				return nil, false
			}
		}
		now = append(now, n)
	}
	return now, true
}

// stays reports whether a piece is on the screen already.
func (p *Painter) stays(n, old *shown, again bool) bool {
	return old != nil && old.sheet == n.sheet && !again && !p.stale
}

// standing returns what is shown in an area.
func (p *Painter) standing(a Area) *shown {
	for i := range p.shown {
		if p.shown[i].area == a {
			return &p.shown[i]
		}
	}
	return nil
}

// bring brings a piece onto the screen; old is what stands in its area.
func (p *Painter) bring(n, old *shown) {
	at := p.spot(n, old)
	if n.sheet != nil && !p.sent(n.sheet) {
		n.sheet, n.cells = nil, Area{}
	}
	if n.sheet == nil {
		at.clear(&p.ink)
		return
	}
	p.placed = p.placed%0xffffff + 1
	n.n, n.id, n.turn = p.placed, n.sheet.id, p.store.turn
	at.cells, at.n = n.cells, n.n
	p.way.show(&p.ink, n.sheet, at)
	p.drew(n, n.sheet.load)
}

// spot says where and over what a piece comes.
func (p *Painter) spot(n, old *shown) spot {
	at := spot{area: n.area, cells: n.cells, unknown: old == nil || p.stale}
	if old != nil {
		at.before = old.cells
	}
	return at
}

// made prepares a sheet, unless it is, and reports whether it is.
func (p *Painter) made(s *sheet) bool {
	if s.held() {
		return true
	}
	l, err := p.ahead.adopt(s)
	if err != nil {
		l, err = prepare(p.way, &p.easel, s)
	}
	if err != nil {
		return false
	}
	s.made, s.load, s.picture, s.jpeg = true, l, nil, nil
	return true
}

// sent sends a sheet where the terminal keeps pictures, and reports whether there
// was an id for it.
func (p *Painter) sent(s *sheet) bool {
	if p.keeper == nil || s.id != 0 {
		return true
	}
	if !p.name(s) {
		p.store.drop(s)
		return false
	}
	p.keeper.send(&p.ink, s)
	p.kept(s)
	return true
}

// name gives a sheet an id, if need be one that another has.
func (p *Painter) name(s *sheet) bool {
	for s.id == 0 {
		if s.id = p.ids.take(); s.id != 0 {
			break
		}
		v := p.store.victim(s.rank)
		if v == nil {
			return false
		}
		p.store.drop(v)
		p.forgetLost()
	}
	return true
}

// kept notes that the terminal has what was made.
func (p *Painter) kept(s *sheet) {
	s.sent = p.store.turn
	s.made, s.load = false, load{}
}

// replace takes what is shown no longer off the screen, after what comes in its
// place, so that at no time nothing is shown.
func (p *Painter) replace(now []shown) {
	if p.keeper != nil {
		// tmux draws the cells later than it passes commands on: what went in
		// the last turn is what no cell shows any more.
		p.hideGone(now)
		for _, n := range p.shown {
			if n.sheet == nil || slices.ContainsFunc(now, func(m shown) bool { return m.n == n.n || p.covered(n, m) }) {
				continue
			}
			if p.c.Tmux {
				p.gone = append(p.gone, n)
			} else {
				p.hide(n, now)
			}
		}
		p.forgetLost()
	}
	p.shown, p.spare = now, p.shown
}

// hideGone takes off the screen what went in the last turn inside tmux.
func (p *Painter) hideGone(now []shown) {
	for _, n := range p.gone {
		p.hide(n, now)
	}
	p.gone = p.gone[:0]
}

// covered reports whether n is gone because m has overwritten or cleared its
// cells. It keeps its placement then: a terminal that makes room takes pictures
// first that have none.
func (p *Painter) covered(n, m shown) bool {
	return p.mode == KittyCells && n.cells.within(m.area) == n.cells
}

// hide takes a placement off the screen, unless it is one that now needs.
func (p *Painter) hide(n shown, now []shown) {
	if p.mode == KittyCells && slices.ContainsFunc(now, func(m shown) bool { return m.id == n.id }) {
		return // all cells of a picture share a placement
	}
	if n.sheet.id == n.id { // else it is forgotten with all its placements
		p.keeper.hide(&p.ink, n.id, n.n)
	}
}

// wipe takes everything off the screen.
func (p *Painter) wipe() {
	p.store.turn++
	p.settle(nil)
	p.flush(nil)
	p.store.trim(0, 0, 0)
	if p.keeper != nil {
		p.hideGone(nil)
		for _, n := range p.shown {
			if n.sheet != nil {
				p.hide(n, nil)
			}
		}
		p.forgetLost()
	}
	p.shown = p.shown[:0]
}

// dropped is called for a sheet that the store gives up.
func (p *Painter) dropped(s *sheet) {
	if s.id != 0 {
		p.lost = append(p.lost, s.id)
	}
	p.discard(s.load)
	s.made, s.load, s.id = false, load{}, 0
}

// discard gives up a load that nobody needs.
func (p *Painter) discard(l load) {
	if l.file != "" {
		p.files.drop(l.file)
	}
}

// lose counts everything in the terminal's store as lost there.
func (p *Painter) lose() {
	for _, s := range p.store.sheets {
		if s.id != 0 && !s.going() {
			p.store.drop(s)
		}
	}
	p.stale = true
}

// forgetLost has the terminal forget what was given up.
func (p *Painter) forgetLost() {
	for _, id := range p.lost {
		p.keeper.forget(&p.ink, id)
		p.ids.give(id)
	}
	p.lost = p.lost[:0]
}
