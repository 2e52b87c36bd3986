package station

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"garner/cull"
	"garner/cull/prepare"
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
	// albumPictures is how many of them there is room for in any case: more than are
	// wished for at a time.
	albumPictures = 14
	// ahead is how many frames in each direction are made before they are asked for.
	ahead = 3
)

// pictureKey names a picture of a frame as the view is turned.
func (d *Desk) pictureKey(id cull.ID, edge int) string {
	return fmt.Sprintf("%s %d %d", id, edge, d.turns[id])
}

// wish is a picture that is wanted.
type wish struct {
	frame cull.ID
	edge  int
	class sched.Class
}

// want asks for the pictures around the cursor and calls off what was walked
// past.
func (d *Desk) want() {
	wishes := d.wishes()
	wanted := make(map[string]bool, len(wishes))
	for _, w := range wishes {
		wanted[d.pictureKey(w.frame, w.edge)] = true
	}
	d.sched.Retain(func(key string) bool { return wanted[key] })
	// The newest visible job is done first: the thumbnail is asked for last.
	for _, w := range wishes {
		d.request(w)
	}
	d.filling.setUrgent(wishes)
}

// wishes lists what is wanted, the frame on the screen first.
func (d *Desk) wishes() []wish {
	id := d.session.Cursor()
	if id == "" || d.edge == 0 {
		return nil
	}
	list := []wish{{id, d.edge, sched.Visible}}
	if d.edge > pix.ThumbEdge && !d.noThumb[id] {
		list = append(list, wish{id, thumbEdge, sched.Visible})
	}
	if !d.begun {
		return list // the first picture has all cores
	}
	seen := map[cull.ID]bool{id: true}
	add := func(id cull.ID, class sched.Class) {
		if id != "" && !seen[id] {
			seen[id] = true
			list = append(list, wish{id, d.edge, class})
		}
	}
	add(d.session.Peek(cull.NextOpen), sched.Next)
	add(d.session.Peek(cull.LadderDown), sched.Next)
	for _, m := range []cull.Motion{cull.NextMoment, cull.LadderUp, cull.PrevMoment} {
		add(d.session.Peek(m), sched.Ahead)
	}
	for _, id := range d.session.OpenAfter(ahead) {
		add(id, sched.Ahead)
	}
	return list
}

// request is a picture that was asked for.
type request struct {
	number uint64
	class  sched.Class
	ticket *sched.Ticket[*jpeg.Image]
}

func (d *Desk) request(w wish) {
	key := d.pictureKey(w.frame, w.edge)
	if _, ok := d.album.get(key); ok {
		return
	}
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
	turn, viewer := d.turns[w.frame], d.viewer
	d.requests++
	r := request{number: d.requests, class: w.class}
	r.ticket = d.sched.Submit(sched.Job[*jpeg.Image]{Key: key, Class: w.class, Bytes: viewer.Load(f, w.edge),
		Run: func(ctx context.Context) (*jpeg.Image, error) { return makePicture(ctx, viewer, f, w.edge, turn) }})
	d.requested[key] = r
	d.beside(func() {
		m, err := r.ticket.Result()
		d.mail.put(func(n *News) {
			n.pictures = append(n.pictures, pictureNews{key: key, request: r.number, frame: w.frame, picture: m, err: err})
		})
	})
}

// errNoThumb: there is no thumbnail yet, and none is made for the screen.
var errNoThumb = errors.New("no thumbnail yet")

func makePicture(ctx context.Context, v *prepare.Viewer, f cull.Frame, edge, turn int) (*jpeg.Image, error) {
	if edge == thumbEdge {
		if m, ok := v.Thumb(f); ok {
			return turned(m, turn), nil
		}
		return nil, errNoThumb
	}
	m, err := v.Picture(ctx, f, edge)
	if err != nil {
		return nil, err
	}
	return turned(m, turn), nil
}

// turned gives a picture as its view is turned clockwise by quarters.
func turned(m *jpeg.Image, quarters int) *jpeg.Image {
	return pix.Orient(m, [4]int{1, 6, 3, 8}[quarters]) // the Exif orientations that turn like this
}

// takePicture puts a picture that was made into the album. One that was called
// off meanwhile, because its files changed, counts for nothing.
func (d *Desk) takePicture(n pictureNews) {
	if d.requested[n.key].number != n.request {
		return
	}
	delete(d.requested, n.key)
	switch {
	case n.err == nil:
		d.album.put(n.key, n.picture, max(albumBytes, albumPictures*weight(n.picture)))
	case errors.Is(n.err, sched.ErrCancelled), errors.Is(n.err, sched.ErrCrowded), errors.Is(n.err, sched.ErrClosed),
		errors.Is(n.err, context.Canceled):
	case errors.Is(n.err, errNoThumb):
		d.noThumb[n.frame] = true
	default:
		d.failed[n.frame] = prepare.NoPicture(d.frames[n.frame], n.err)
	}
}

// forget lets go of all pictures of a frame whose files have changed, also of
// those that are being made.
func (d *Desk) forget(id cull.ID) {
	d.album.forget(string(id))
	delete(d.drawn, id)
	for key, r := range d.requested {
		if strings.HasPrefix(key, string(id)+" ") {
			r.ticket.Cancel()
			delete(d.requested, key)
		}
	}
}
