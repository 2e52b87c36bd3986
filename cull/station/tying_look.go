package station

import (
	"context"
	"errors"
	"fmt"
	"time"

	"garner/cull"
	"garner/cull/output"
	"garner/cull/prepare"
	"garner/preview/jpeg"
	"garner/preview/sched"
)

// TyingShot is what is to be seen: a finished picture, and frames that it may show.
type TyingShot struct {
	ID      uint64
	Picture *jpeg.Image // the finished one; nil = Why, or it is being read
	Why     string      // why it cannot be shown
	Whole   bool        // it and the frame under the cursor are what they are to be
	Tiles   []Tile
	Tiling  Tiling
	here    cull.ID
	item    int
	since   uint64 // the number of the first that shows the picture and this frame as they are
}

// Shot returns what is to be seen now.
func (d *Tying) Shot() TyingShot { return d.shot }

// tyingTiles is how many frames are shown beside a picture at most: more would be too
// small to be told apart from it.
const tyingTiles = 12

// SetPlaces says where the finished picture and the frames stand: the long edge of the
// one in pixels, and the place of the others.
func (d *Tying) SetPlaces(edge int, frames FanArea) {
	if edge != d.edge || frames != d.place {
		d.edge, d.place = edge, frames
		d.Redraw()
	}
}

// Redraw asks for what is seen once more: until it is drawn again nothing is said.
func (d *Tying) Redraw() {
	d.shot.ID++
	d.shot.since, d.armed = d.shot.ID, false
	d.version++
	d.renew()
}

// Hidden takes in that something else covers the pictures now.
func (d *Tying) Hidden() { d.armed = false }

// Drawn takes in that something is on the screen, and when it was.
func (d *Tying) Drawn(id uint64, at time.Time) {
	if id > d.shot.ID || id < d.shot.since || !d.shot.Whole || d.armed || d.writing {
		return
	}
	d.armed, d.armedAt = true, at
	d.version++
	d.want()
}

// page is the index of the first frame that is shown.
func (d *Tying) page() int {
	n := max(d.tiling().Tiles(), 1)
	return d.cursor / n * n
}

func (d *Tying) tiling() Tiling {
	list := d.list()
	var f Formats
	for _, id := range list[:min(len(list), tyingTiles)] {
		f = f.add(sizeOf(d.frames[id]))
	}
	return tile(d.place, min(len(list), tyingTiles), f)
}

func (d *Tying) finishedKey(item int) string { return fmt.Sprintf("finished %d %d", item, d.edge) }

func (d *Tying) frameKey(id cull.ID, edge int) string { return fmt.Sprintf("%s %d", id, edge) }

// tileEdge is the long edge of the frames' pictures.
func (d *Tying) tileEdge(t Tiling) int {
	f := Formats{Wide: 1, Tall: 1, Long: 1.5, Longest: 1.5}
	return t.edge(d.place, f)
}

// renew finds out what is to be seen now and which pictures are wanted.
func (d *Tying) renew() {
	next, was := d.show(), d.shot
	if !next.looksLike(was) {
		next.ID = was.ID + 1
		next.since = next.ID
		if next.asks(was) {
			next.since = was.since
		} else {
			d.armed = false
		}
		d.shot = next
		d.version++
	}
	d.want()
}

func (d *Tying) show() TyingShot {
	s := TyingShot{item: d.at, here: d.frame(), Tiling: d.tiling(), ID: d.shot.ID, since: d.shot.since}
	key := d.finishedKey(d.at)
	if p, ok := d.album.get(key); ok {
		s.Picture, s.Whole = p.Image, true
	} else if why, no := d.failed[key]; no {
		s.Why, s.Whole = why, true
	}
	list, edge := d.list(), d.tileEdge(s.Tiling)
	from := d.page()
	for _, id := range list[from:min(len(list), from+s.Tiling.Tiles())] {
		t := Tile{Frame: id, Answer: d.session.Decision(cull.KeepPass, id).Answer}
		key := d.frameKey(id, edge)
		if p, ok := d.album.get(key); ok {
			t.Picture, t.Whole = p.Image, true
		} else if why, no := d.failed[key]; no {
			t.Why, t.Whole = why, true
		}
		if id == s.here {
			s.Whole = s.Whole && t.Whole
		}
		s.Tiles = append(s.Tiles, t)
	}
	return s
}

// looksLike reports whether two shots look the same.
func (s TyingShot) looksLike(o TyingShot) bool {
	return s.asks(o) && s.Tiling == o.Tiling && sameTiles(Shot{Tiles: s.Tiles}, Shot{Tiles: o.Tiles})
}

// asks reports whether they ask the same: of one picture and one frame as they are.
func (s TyingShot) asks(o TyingShot) bool {
	return s.item == o.item && s.here == o.here && s.Picture == o.Picture && s.Why == o.Why && s.Whole == o.Whole
}

// want asks for the pictures that are seen, and for those of the next picture.
func (d *Tying) want() {
	if d.edge == 0 || d.place.empty() {
		return
	}
	var list []errand[prepare.Picture]
	edge := d.tileEdge(d.shot.Tiling)
	ask := func(key string, class sched.Class, bytes int64, run func(context.Context) (prepare.Picture, error)) {
		if _, no := d.failed[key]; no || d.album.use(key) {
			return
		}
		list = append(list, errand[prepare.Picture]{key: key, class: class, bytes: bytes, run: run,
			take: func(p prepare.Picture) { d.album.put(key, p, albumBytes) },
			fail: func(err error) { d.failed[key] = plainWhy(err.Error()) }})
	}
	frame := func(id cull.ID, class sched.Class) {
		f := d.frames[id]
		ask(d.frameKey(id, edge), class, d.viewer.Load(f, edge), func(ctx context.Context) (prepare.Picture, error) {
			p, err := d.viewer.Picture(ctx, f, edge)
			p.Source = nil
			return p, err
		})
	}
	finished := func(item int, class sched.Class) {
		path, edge := inFinished(d.items[item].tie.Path), d.edge
		ask(d.finishedKey(item), class, cutBytes, func(ctx context.Context) (prepare.Picture, error) { return d.finished(ctx, path, edge) })
	}
	// Of visible jobs the newest is done first.
	for i := len(d.shot.Tiles) - 1; i >= 0; i-- {
		frame(d.shot.Tiles[i].Frame, sched.Visible)
	}
	finished(d.at, sched.Visible)
	if to, ok := d.nextOpen(); ok && d.armed {
		finished(to, sched.Next)
		for _, id := range d.items[to].tie.Nearest {
			if _, ok := d.frames[id]; ok {
				frame(id, sched.Ahead)
			}
		}
	}
	d.work.only(list)
}

// finished makes a finished picture for the screen, whatever its format and colours.
func (d *Tying) finished(ctx context.Context, path string, edge int) (prepare.Picture, error) {
	c, err := d.showing.Uncut(ctx, output.Set{Quality: 90}, path, edge)
	if err != nil {
		return prepare.Picture{}, errors.New(output.Why(err))
	}
	m, err := readCut(ctx, c.Bytes, edge, false)
	return m.Picture, err
}
