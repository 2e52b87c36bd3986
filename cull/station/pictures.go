package station

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/prepare"
	"garner/preview"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/sched"
)

const (
	// thumbEdge stands for the thumbnail as it is in the cache.
	thumbEdge = 0
	// maxPictureBytes is what the decodes that run may hold together.
	maxPictureBytes = 192 << 20
	// albumBytes is what the pictures that are ready may hold: some 25 of the size
	// of a large screen.
	albumBytes = 64 << 20
	// mostAround and leastAround are how many frames around the cursor are made before
	// they are asked for: fewer on a very large screen.
	mostAround, leastAround = 12, 5
)

// pictureKey names a picture of a frame as the view is turned.
func (d *Desk) pictureKey(id cull.ID, edge int) string {
	return d.plainKey(id, edge) + d.overlay.key()
}

// plainKey names it without what is marked on it.
func (d *Desk) plainKey(id cull.ID, edge int) string {
	return fmt.Sprintf("%s %d %d", id, edge, d.turns[id])
}

// wish is something of a frame that is wanted.
type wish struct {
	frame cull.ID
	edge  int // of a whole picture
	class sched.Class
	what  what
	part  part // of a close one
}

// what says what is wanted.
type what uint8

const (
	wholePicture what = iota // as large as edge
	closeDetail              // what the loupe's pictures are made from
	closePicture             // a part at its own pixels
)

// key names what is wanted.
func (d *Desk) key(w wish) string {
	switch w.what {
	case closeDetail:
		return detailKey(w.frame)
	case closePicture:
		return d.closeKey(w.frame, w.part)
	}
	return d.pictureKey(w.frame, w.edge)
}

// use reports whether what is wanted is there, and keeps it longer than what was
// used before.
func (d *Desk) use(w wish) bool {
	switch w.what {
	case closeDetail:
		return d.details.use(w.frame)
	case closePicture:
		return d.closeUps.use(d.key(w))
	}
	return d.album.use(d.key(w))
}

// want asks for the pictures around the cursor and calls off what was walked
// past.
func (d *Desk) want() {
	wishes := d.wishes()
	wanted := make(map[string]bool, len(wishes))
	var missing []wish
	for _, w := range slices.Backward(wishes) { // what is on the screen is used last
		wanted[d.key(w)] = true
		if !d.use(w) {
			missing = append(missing, w)
		}
	}
	d.sched.Retain(func(key string) bool { return wanted[key] })
	// The newest visible job is done first: the thumbnail is asked for last. What is
	// looked at has all cores until it is there; what is made ahead goes on if it
	// was begun.
	for _, w := range slices.Backward(missing) {
		if w.class == sched.Visible || d.shot.Whole {
			d.request(w)
		}
	}
	d.filling.setUrgent(wishes)
}

// wishes lists what is wanted, the frame on the screen first.
func (d *Desk) wishes() []wish {
	id := d.session.Cursor()
	if id == "" || d.edge == 0 {
		return nil
	}
	switch {
	case d.InFan():
		return d.fanWishes()
	case d.loupe.on:
		return d.closeWishes(id)
	}
	list := []wish{{frame: id, edge: d.edge, class: sched.Visible}}
	if d.edge > pix.ThumbEdge && !d.noThumb[id] {
		list = append(list, wish{frame: id, edge: thumbEdge, class: sched.Visible})
	}
	if !d.begun {
		return list // the first picture has all cores
	}
	for i, id := range d.around() {
		list = append(list, wish{frame: id, edge: d.edge, class: aheadClass(i)})
	}
	if d.loupe.used && d.room(id).X > 0 { // who uses it will again: last of all, once one looks longer
		left := d.details.limit
		list = append(list, d.openWishes(id, sched.Ahead, true, &left)...)
	}
	return list
}

// aheadClass is how urgent what belongs to the frames around is.
func aheadClass(i int) sched.Class {
	if i < 2 {
		return sched.Next
	}
	return sched.Ahead
}

// made is what a job gives: a picture, or what pictures are made from.
type made struct {
	prepare.Picture
	detail *preview.Detail
}

// request is something that was asked for.
type request struct {
	number uint64
	class  sched.Class
	ticket *sched.Ticket[made]
}

func (d *Desk) request(w wish) {
	key := d.key(w)
	if r, ok := d.requested[key]; ok {
		if w.class != r.class {
			r.class = w.class
			r.ticket.SetClass(w.class)
			d.requested[key] = r
		}
		return
	}
	f := d.frames[w.frame]
	if _, no := d.cannotShow(f); no {
		return
	}
	bytes, run := d.jobOf(w, f)
	if run == nil {
		return
	}
	d.requests++
	r := request{number: d.requests, class: w.class}
	r.ticket = d.sched.Submit(sched.Job[made]{Key: key, Class: w.class, Bytes: bytes, Run: run})
	d.requested[key] = r
	d.beside(func() {
		m, err := r.ticket.Result()
		d.mail.put(func(n *News) {
			n.pictures = append(n.pictures, pictureNews{key: key, request: r.number, wish: w, made: m, err: err})
		})
	})
}

// jobOf is how what is wanted is made, and what that holds in memory; nil = it
// cannot be made yet.
func (d *Desk) jobOf(w wish, f cull.Frame) (int64, func(context.Context) (made, error)) {
	turn, viewer, keep, over := d.turns[w.frame], d.viewer, d.sources, d.overlay
	switch w.what {
	case closeDetail:
		return viewer.DetailLoad(f), func(ctx context.Context) (made, error) {
			detail, err := viewer.Detail(ctx, f)
			return made{detail: detail}, err
		}
	case closePicture:
		detail := d.details.get(w.frame)
		if detail == nil {
			return 0, nil
		}
		bytes := w.part.bytes()
		if detail.Used.Progressive { // it is decoded whole, with its coefficients
			bytes += 8 * int64(detail.Width) * int64(detail.Height)
		}
		return bytes, func(ctx context.Context) (made, error) {
			m, err := makeClose(ctx, detail, w.part, turn, over)
			return made{Picture: prepare.Picture{Image: m}}, err
		}
	}
	return viewer.Load(f, w.edge), func(ctx context.Context) (made, error) {
		p, err := makePicture(ctx, viewer, f, w.edge, turn)
		if !keep || len(p.Source) > maxSource || over.on() {
			p.Source = nil
		}
		p.Image = over.draw(p.Image)
		return made{Picture: p}, err
	}
}

// maxSource is the longest JPEG that is kept beside its picture: passing a longer
// one on takes the terminal longer than showing what is made for the screen.
const maxSource = 4 << 20

// KeepSources says whether the way of pictures passes JPEGs on as they are.
func (d *Desk) KeepSources(keep bool) {
	if keep != d.sources {
		d.sources = keep
		d.album = album{}
		d.forceShot()
		d.renew()
	}
}

// errNoThumb: there is no thumbnail yet, and none is made for the screen.
var errNoThumb = errors.New("no thumbnail yet")

func makePicture(ctx context.Context, v *prepare.Viewer, f cull.Frame, edge, turn int) (prepare.Picture, error) {
	if edge == thumbEdge {
		if m, ok := v.Thumb(f); ok {
			return prepare.Picture{Image: turned(m, turn)}, nil
		}
		return prepare.Picture{}, errNoThumb
	}
	p, err := v.Picture(ctx, f, edge)
	if err != nil {
		return prepare.Picture{}, err
	}
	if turn != 0 {
		p = prepare.Picture{Image: turned(p.Image, turn)} // its source is not
	}
	return p, nil
}

// turned gives a picture as its view is turned clockwise by quarters.
func turned(m *jpeg.Image, quarters int) *jpeg.Image {
	return pix.Orient(m, turnedLike[quarters])
}

// turnedLike are the Exif orientations that turn a picture clockwise by quarters.
var turnedLike = [4]int{1, 6, 3, 8}

// takePicture puts what was made where it belongs. What was called off meanwhile,
// because the frame's files changed, counts for nothing.
func (d *Desk) takePicture(n pictureNews) {
	if d.requested[n.key].number != n.request {
		return
	}
	delete(d.requested, n.key)
	switch {
	case n.err == nil:
		d.keepMade(n)
	case errors.Is(n.err, sched.ErrCancelled), errors.Is(n.err, sched.ErrCrowded), errors.Is(n.err, sched.ErrClosed),
		errors.Is(n.err, context.Canceled):
	case errors.Is(n.err, errNoThumb):
		d.noThumb[n.wish.frame] = true
	case n.wish.what != wholePicture:
		d.noLoupe(n.wish.frame, prepare.NoPicture(d.frames[n.wish.frame], n.err))
	default:
		d.failed[n.wish.frame] = prepare.NoPicture(d.frames[n.wish.frame], n.err)
	}
}

// roomFor is how many pictures an album has room for in any case: all that are
// wanted, the thumbnail, and the one before.
func (d *Desk) roomFor() int64 { return int64(d.mostAround() + 3) }

// mostAround is how many frames around the cursor are wanted: their pictures fill
// two thirds of the album.
func (d *Desk) mostAround() int {
	one := int64(d.edge) * int64(d.edge) // bytes of a picture in the format 3:2
	return int(min(max(albumBytes*2/3/max(one, 1), leastAround), mostAround))
}

func (d *Desk) keepMade(n pictureNews) {
	switch n.wish.what {
	case closeDetail:
		d.takeDetail(n.wish.frame, n.made.detail)
	case closePicture:
		d.details.trim()
		d.closeUps.put(n.key, n.made.Picture, max(closeBytes, d.roomFor()*weight(n.made.Picture)))
	default:
		d.album.put(n.key, n.made.Picture, max(albumBytes, d.roomFor()*weight(n.made.Picture)))
	}
}

// forget lets go of all pictures of a frame whose files have changed, also of
// those that are being made.
func (d *Desk) forget(id cull.ID) {
	d.album.forget(string(id))
	d.closeUps.forget(string(id))
	d.details.drop(id)
	d.loupe.forget(id)
	delete(d.drawn, id)
	for key, r := range d.requested {
		if strings.HasPrefix(key, string(id)+" ") {
			r.ticket.Cancel()
			delete(d.requested, key)
		}
	}
}
