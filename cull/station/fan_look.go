package station

import (
	"slices"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/sched"
)

// Tile is one frame of a fan as it is to be seen.
type Tile struct {
	Frame   cull.ID
	Picture *jpeg.Image // upright; nil = there is none, or none yet
	Source  []byte      // as that of a Shot
	Answer  cull.Answer
	Whole   bool   // nothing better is to come: once drawn, the frame can be decided
	Why     string // why it cannot be shown; "" = it can
	NotNear string // in the loupe: why its own pixels are not seen; "" = they are
	Since   uint64 // the number of the first Shot that shows the tile as it is
}

// looksLike reports whether two tiles look the same.
func (t Tile) looksLike(o Tile) bool {
	return t.Frame == o.Frame && t.Picture == o.Picture && t.Answer == o.Answer && t.Whole == o.Whole && t.Why == o.Why && t.NotNear == o.NotNear
}

// fanPage is the part of a fan that is on the screen.
type fanPage struct {
	from   int // index of its first frame
	frames []cull.ID
	tiling Tiling
	edge   int // of its pictures
}

// fanPage returns the page that the cursor is on.
func (d *Desk) fanPage() fanPage {
	l := d.fanList()
	return l.page(slices.Index(l.frames, d.session.Cursor()), d.tileEdge(l))
}

func (l *fanList) page(at, edge int) fanPage {
	n := l.tiling.Tiles()
	if n == 0 {
		return fanPage{}
	}
	from := max(at, 0) / n * n
	return fanPage{from, l.frames[from:min(from+n, len(l.frames))], l.tiling, edge}
}

// tileEdge is the size of the pictures of tiles: that of thumbnails where these are
// large enough, and that of the whole screen where it is much the same.
func (d *Desk) tileEdge(l *fanList) int {
	edge := l.tiling.edge(d.fan.area, l.formats)
	switch {
	case edge <= pix.ThumbEdge && d.overlay.on():
		return edge // so that hatching is drawn as it is seen
	case edge <= pix.ThumbEdge:
		return thumbEdge
	case d.edge > 0 && edge*5/4 >= d.edge:
		return d.edge
	}
	return edge
}

// fanLook puts together what the fan shows.
func (d *Desk) fanLook() Shot {
	id := d.session.Cursor()
	s := Shot{Frame: id, Answer: d.session.Decision(d.session.CursorPass(), id).Answer, Overlay: d.overlay}
	page := d.fanPage()
	s.Tiling = page.tiling
	for _, f := range page.frames {
		t := d.tileLook(f, page.edge)
		if d.loupe.on && t.Why == "" {
			near := d.closeTile(&t)
			if f == id {
				s.Loupe = &near
			}
		}
		if f == id {
			s.Picture, s.Source, s.Whole = t.Picture, t.Source, t.Whole
		}
		s.Tiles = append(s.Tiles, t)
	}
	return s
}

// tileLook is a frame as a tile.
func (d *Desk) tileLook(id cull.ID, edge int) Tile {
	t := Tile{Frame: id, Answer: d.session.Decision(d.session.CursorPass(), id).Answer}
	if why, ok := d.cannotShow(d.frames[id]); ok {
		t.Why, t.Whole = plainWhy(why), true
		return t
	}
	if w, ok := d.tileWish(id, edge); ok {
		p, _ := d.album.get(d.key(w))
		t.Picture, t.Source, t.Whole = p.Image, p.Source, true
		return t
	}
	for _, key := range []string{d.plainKey(id, edge), d.pictureKey(id, thumbEdge), d.plainKey(id, thumbEdge)} { // stand in for it
		if p, ok := d.album.get(key); ok {
			t.Picture = p.Image
			return t
		}
	}
	return t
}

// tileWish is the picture of a frame as a tile, and whether it is there: one that
// was made for the whole screen does as well.
func (d *Desk) tileWish(id cull.ID, edge int) (wish, bool) {
	if edge == thumbEdge && d.noThumb[id] {
		edge = pix.ThumbEdge
	}
	w := wish{frame: id, edge: edge}
	if _, ok := d.album.get(d.key(w)); ok {
		return w, true
	}
	large := wish{frame: id, edge: d.edge}
	if _, ok := d.album.get(d.key(large)); ok && d.edge >= edge {
		return large, true
	}
	return w, false
}

// carry takes over from the shot before since when the tiles have been as they
// are, and the one under the cursor with them.
func (s *Shot) carry(was Shot) {
	s.Since = s.ID
	if len(s.Tiles) == 0 {
		if onlyWords(was, *s) {
			s.Since = was.Since
		}
		return
	}
	same := was.Tiling == s.Tiling && len(was.Tiles) == len(s.Tiles)
	for i := range s.Tiles {
		t := &s.Tiles[i]
		t.Since = s.ID
		if !same || !t.looksLike(was.Tiles[i]) {
			continue
		}
		t.Since = was.Tiles[i].Since
		if t.Frame == s.Frame && s.Frame == was.Frame {
			s.Since = max(was.Since, t.Since)
		}
	}
}

// onlyWords reports whether two shots show the same pixels, close, and differ at most
// in what is said of the face there, as when it is measured meanwhile.
func onlyWords(was, s Shot) bool {
	if was.Loupe == nil || s.Loupe == nil {
		return false
	}
	a, b := *was.Loupe, *s.Loupe
	a.Face, b.Face = "", ""
	was.Loupe, s.Loupe = &a, &b
	return same(was, s)
}

func sameTiles(a, b Shot) bool {
	return a.Tiling == b.Tiling && slices.EqualFunc(a.Tiles, b.Tiles, Tile.looksLike)
}

// tilesDrawn takes in which tiles are on the screen.
func (d *Desk) tilesDrawn(id uint64) {
	for _, t := range d.shot.Tiles {
		if t.Whole && t.Picture != nil && t.Since <= id && !d.drawn[t.Frame] {
			d.drawn[t.Frame] = true
			d.version++
		}
	}
}

// visitPage tries again to show the frames of a page that is looked at anew.
func (d *Desk) visitPage() {
	page := d.fanPage()
	if len(page.frames) == 0 || page.frames[0] == d.fan.seen {
		return
	}
	d.fan.seen, d.fan.anchor = page.frames[0], d.session.Cursor()
	for _, id := range page.frames {
		delete(d.failed, id)
		delete(d.loupe.failed, id)
	}
}

// fanComing returns the pages that the next keys may lead to, with the tiles that
// are ready.
func (d *Desk) fanComing() []Shot {
	var list []Shot
	for _, page := range d.fanNext(d.fanPage()) {
		s := Shot{Tiling: page.tiling}
		for _, id := range page.frames {
			s.Tiles = append(s.Tiles, d.tileLook(id, page.edge))
		}
		list = append(list, s)
	}
	return list
}

// mostAsked is how many pictures of tiles are asked for at a time: fewer than may
// wait, so that none makes way for another.
const mostAsked = 24

// fanWishes lists what is wanted while the fan is open: the tiles that are seen, the
// one under the cursor first, then those of the page that probably comes next.
func (d *Desk) fanWishes() []wish {
	page := d.fanPage()
	if d.loupe.on {
		return d.closeTileWishes(page)
	}
	list := d.tileWishes(page, sched.Visible)
	if !d.begun {
		return list
	}
	for i, next := range d.fanNext(page) {
		list = append(list, d.tileWishes(next, aheadClass(2*i))...)
	}
	return list
}

// tileWishes are the pictures of a page: of large tiles the thumbnails first.
func (d *Desk) tileWishes(page fanPage, class sched.Class) []wish {
	var there, first, then []wish
	missing := 0
	add := func(to *[]wish, w wish) {
		switch {
		case d.use(w):
			there = append(there, w)
		case missing < mostAsked:
			missing++
			*to = append(*to, w)
		}
	}
	frames := page.frames
	if i := slices.Index(frames, d.session.Cursor()); i > 0 {
		frames = slices.Concat(frames[i:i+1], frames[:i], frames[i+1:])
	}
	for _, id := range frames {
		if _, no := d.cannotShow(d.frames[id]); no {
			continue
		}
		w, ok := d.tileWish(id, page.edge)
		w.class = class
		if w.edge == thumbEdge {
			add(&first, w)
			continue
		}
		if thumb := (wish{frame: id, edge: thumbEdge, class: class}); !ok && class == sched.Visible && !d.noThumb[id] {
			add(&first, thumb)
		}
		add(&then, w)
	}
	return slices.Concat(there, first, then)
}

// fanNext lists the pages that the next keys probably lead to.
func (d *Desk) fanNext(page fanPage) []fanPage {
	l := d.fanList()
	var pages []fanPage
	for _, at := range []int{page.from + len(page.frames), page.from - 1} {
		if at >= 0 && at < len(l.frames) {
			pages = append(pages, l.page(at, page.edge))
		}
	}
	if d.fan.over == ofPass {
		return pages
	}
	beside := []cull.ID{d.session.Peek(cull.NextMoment), d.session.Peek(cull.PrevMoment)}
	if l.of.alike > 0 {
		beside = d.fanNeighbours(l.of.alike)
	}
	seen := map[unit]bool{l.of.unit: true, everything: true}
	for _, id := range append(d.openElsewhere(l.of.unit), beside...) {
		u := d.unitOf(id)
		if seen[u] {
			continue
		}
		seen[u] = true
		of := l.of
		of.unit, of.outside = u, ""
		next := d.fanOf(id, of)
		pages = append(pages, next.page(0, d.tileEdge(&next)))
	}
	return pages
}

// openElsewhere is the next open frame that a fan does not show, if it is near.
func (d *Desk) openElsewhere(shown unit) []cull.ID {
	for _, id := range d.session.OpenAfter(maxTiles) {
		if d.unitOf(id) != shown {
			return []cull.ID{id}
		}
	}
	return nil
}
