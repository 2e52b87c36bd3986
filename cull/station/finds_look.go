package station

import (
	"fmt"
	"image"
	"path"
	"time"

	"garner/cull"
	"garner/preview/sched"
)

// SetPlaces says where pictures stand: the long edge of a whole one in pixels, the place
// of the tiles, and how many pixels there are to be filled; none = single pixels cannot
// be shown.
func (d *Finds) SetPlaces(edge int, tiles FanArea, room image.Point) {
	if edge == d.edge && tiles == d.place && room == d.room {
		return
	}
	d.edge, d.place, d.room = edge, tiles, room
	if room.X <= 0 && d.view == findPixels {
		d.view = oneFind
	}
	d.Redraw()
}

// KeepSources says whether the way of pictures passes JPEGs on as they are.
func (d *Finds) KeepSources(keep bool) {
	if d.keep(keep) {
		d.renew()
	}
}

// Redraw asks for what is seen once more, since the screen lost it.
func (d *Finds) Redraw() {
	d.lost()
	d.renew()
}

// Drawn takes in that something is on the screen.
func (d *Finds) Drawn(id uint64, _ time.Time) {
	if d.first(id) {
		d.want()
	}
}

// findsFormats is what frames may look like: what they are is not known before they
// are read.
func findsFormats() Formats { return Formats{Wide: 3, Tall: 1, Long: 1.5, Longest: 1.5} }

// findsTiles is how many frames are seen at once, at most: of more, what tells them
// apart would have no room below their pictures.
const findsTiles = 24

func (d *Finds) tiling() Tiling {
	return tile(d.place, min(len(d.frames), findsTiles), findsFormats())
}

// page is the number of the first frame whose tile is seen.
func (d *Finds) page() int {
	n := max(d.tiling().Tiles(), 1)
	return d.cursor / n * n
}

func (d *Finds) tileKey(i int) string {
	return fmt.Sprintf("%d tile %d", i, d.tiling().edge(d.place, findsFormats()))
}

func (d *Finds) oneKey(i int) string { return fmt.Sprintf("%d one %d", i, d.edge) }

func (d *Finds) detailKey(i int) string { return fmt.Sprintf("%d detail", i) }

func (d *Finds) closeKey(i int, p part) string {
	return fmt.Sprintf("%d close %v %v", i, p.rect, p.room)
}

func (d *Finds) renew() {
	d.turn(d.look())
	d.want()
}

// look puts together what is to be seen.
func (d *Finds) look() Shot {
	if d.view == allFinds {
		return d.lookAtAll()
	}
	s := Shot{Title: "reading " + path.Base(d.frames[d.cursor].Name)}
	if p, ok := d.album.get(d.tileKey(d.cursor)); ok {
		s.Picture = p.Image // a stopgap
	}
	key := d.oneKey(d.cursor)
	if why, no := d.failed[key]; no {
		return Shot{Title: "it cannot be shown", Text: []string{why}, Whole: true}
	}
	whole, there := d.album.get(key)
	if there {
		s.Picture, s.Source, s.Whole = whole.Image, whole.Source, true
	}
	if d.view == findPixels {
		d.lookClose(&s)
	}
	return s
}

func (d *Finds) lookAtAll() Shot {
	s := Shot{Tiling: d.tiling(), Whole: true}
	from := d.page()
	for i := from; i < min(len(d.frames), from+s.Tiling.Tiles()); i++ {
		t := Tile{Frame: cull.ID(fmt.Sprint(i)), Answer: d.frames[i].Answer}
		if p, ok := d.album.get(d.tileKey(i)); ok {
			t.Picture, t.Whole = p.Image, true
		} else if why, no := d.failed[d.tileKey(i)]; no {
			t.Why, t.Whole = why, true
		}
		s.Whole = s.Whole && t.Whole
		s.Tiles = append(s.Tiles, t)
	}
	return s
}

// lookClose shows the pixels of the frame, and until they are there what is known of
// them.
func (d *Finds) lookClose(s *Shot) {
	if why, no := d.failed[d.detailKey(d.cursor)]; no {
		s.Loupe = &LoupePart{Why: why}
		return
	}
	s.Loupe, s.Source, s.Whole = &LoupePart{}, nil, false
	p, ok := d.part()
	if !ok {
		return
	}
	s.Loupe = &LoupePart{Part: p.rect, Size: p.size}
	if !d.panned {
		s.Loupe.From = d.details.get(cull.ID(d.detailKey(d.cursor))).FocusFrom
	}
	d.closeUp(s, d.closeKey(d.cursor, p), p)
}

// part is what of the frame is seen close; false while it is not open for that.
func (d *Finds) part() (part, bool) {
	if d.view != findPixels {
		return part{}, false
	}
	return d.partOf(d.details.get(cull.ID(d.detailKey(d.cursor))), func(at spot) spot { return at })
}

// want asks for what is to be seen and for what the next keys may ask for, and calls
// off what was walked past.
func (d *Finds) want() {
	if d.edge == 0 || d.place.empty() {
		return
	}
	if d.view == allFinds {
		d.work.only(d.wantTiles())
	} else {
		d.work.only(d.wantOne())
	}
}

// wantTiles asks for the tiles of the page, and for those of the next.
func (d *Finds) wantTiles() []errand[found] {
	var list []errand[found]
	from, n := d.page(), len(d.shot.Tiles)
	// Of visible jobs the newest is done first.
	for i := from + n - 1; i >= from; i-- {
		list = append(list, d.tile(i, sched.Visible))
	}
	if d.begun && d.shot.Whole {
		list = append(list, d.one(d.cursor, sched.Next))
		for i := from + n; i < min(len(d.frames), from+2*n); i++ {
			list = append(list, d.tile(i, sched.Ahead))
		}
	}
	return list
}

// wantOne asks for the frame that is looked at, and for those beside it.
func (d *Finds) wantOne() []errand[found] {
	list := []errand[found]{d.one(d.cursor, sched.Visible)}
	if d.view == findPixels {
		list = append(list, d.pixels(d.cursor))
	}
	if d.shot.Whole {
		for i, at := range []int{d.cursor + 1, d.cursor - 1} {
			if at >= 0 && at < len(d.frames) {
				list = append(list, d.one(at, aheadClass(i)))
			}
		}
	}
	return list
}

// Coming returns what the next keys may ask to be seen, as far as it is ready.
func (d *Finds) Coming() []Shot {
	var list []Shot
	if d.view != oneFind {
		return nil
	}
	for _, at := range []int{d.cursor + 1, d.cursor - 1} {
		if p, ok := d.album.get(d.oneKey(at)); ok {
			list = append(list, Shot{Picture: p.Image, Source: p.Source, Whole: true})
		}
	}
	return list
}
