package station

import (
	"fmt"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/prepare"
	"garner/preview/jpeg"
)

// Shot is what is to be seen in the picture's place.
type Shot struct {
	ID      uint64 // grows whenever something else is to be seen
	Frame   cull.ID
	Picture *jpeg.Image // upright; nil = Title and Text stand in its place
	Title   string
	Text    []string
	Answer  cull.Answer // in the pass that is walked
	Whole   bool        // nothing better is to come: once drawn, the frame can be decided
	Source  []byte      // the picture as a JPEG that may be passed on as it is; nil = there is none
	Overlay Overlay     // what is marked on the picture
	Loupe   *LoupePart  // what the loupe shows; nil = the whole picture is shown
	Tiles   []Tile      // in the fan: the frames of its page, Frame among them, whose Picture and Whole are above; nil = no fan
	Tiling  Tiling      // where they stand
	Since   uint64      // the number of the first Shot that shows Frame as it is
}

// Shot returns what is to be seen now.
func (d *Desk) Shot() Shot { return d.shot }

// Waiting reports that the frame under the cursor cannot be decided yet because
// it is not on the screen.
func (d *Desk) Waiting() bool { return !d.armed }

// SetEdge says how large a picture the screen can show: the long edge in pixels.
func (d *Desk) SetEdge(pixels int) {
	if pixels != d.edge {
		d.edge = pixels
		d.renew()
	}
}

// Redraw asks for the present shot once more, since the screen lost it: until it
// is drawn again nothing is decided.
func (d *Desk) Redraw() {
	d.forceShot()
	d.renew()
}

// Drawn takes in that the screen shows a shot: the terminal has answered the
// request that followed it, or where it cannot, the write has returned. At is when
// that was: keys that were read before do not decide it. Zero = not known.
func (d *Desk) Drawn(id uint64, at time.Time) {
	if id > d.shot.ID || d.pending != nil {
		return
	}
	d.tilesDrawn(id)
	if id < d.shot.Since || !d.shot.Whole || d.armed {
		return
	}
	d.armed, d.armedAt = true, at
	if !d.begun {
		d.begun = true
		d.readMeasures()
		d.readSidecars()
		d.want()
	}
	if d.shot.Picture != nil {
		d.drawn[d.shot.Frame] = true
	}
	d.version++
}

// Hidden takes in that something else covers the picture now.
func (d *Desk) Hidden() { d.armed = false }

// forceShot lets the next renew give a new Shot even if nothing else changed.
func (d *Desk) forceShot() {
	d.shot.ID++
	d.shot.Frame, d.shot.Tiles, d.shot.Since, d.armed = "", nil, d.shot.ID, false
}

// forceShotOf does so where the frame is the one that is to be seen.
func (d *Desk) forceShotOf(id cull.ID) {
	if d.shot.Frame == id {
		d.forceShot()
	}
}

// renew finds out what is to be seen now and which pictures are wanted.
func (d *Desk) renew() {
	if d.viewer == nil {
		return
	}
	d.followPass()
	d.visit()
	d.followFace()
	next := d.look()
	if was := d.shot; !same(was, next) {
		next.ID = was.ID + 1
		next.carry(was)
		d.shot, d.armed = next, d.armed && next.Since < next.ID
		d.version++
	}
	d.want()
	d.measuring.making.Store(len(d.requested) > 0)
}

// visit notes which frame is looked at: another visit tries again to show it.
func (d *Desk) visit() {
	id := d.session.Cursor()
	if d.InFan() {
		d.visitPage()
		d.visited = id
		return
	}
	d.fan.seen = ""
	if id != d.visited {
		delete(d.failed, id)
		delete(d.failed, d.visited)
		delete(d.loupe.failed, id)
		d.visited = id
	}
}

func same(a, b Shot) bool {
	if a.Frame != b.Frame || a.Picture != b.Picture || a.Title != b.Title || a.Answer != b.Answer || a.Whole != b.Whole || a.Overlay != b.Overlay || len(a.Text) != len(b.Text) ||
		!sameTiles(a, b) || (a.Loupe == nil) != (b.Loupe == nil) || a.Loupe != nil && *a.Loupe != *b.Loupe {
		return false
	}
	for i := range a.Text {
		if a.Text[i] != b.Text[i] {
			return false
		}
	}
	return true
}

// look puts together what is to be seen of the frame under the cursor.
func (d *Desk) look() Shot {
	id := d.session.Cursor()
	if id == "" {
		return d.emptyShot()
	}
	if d.InFan() {
		return d.fanLook()
	}
	return d.lookAt(id)
}

// lookAt puts together what is to be seen of a frame.
func (d *Desk) lookAt(id cull.ID) Shot {
	s := Shot{Frame: id, Answer: d.session.Decision(d.session.CursorPass(), id).Answer, Overlay: d.overlay}
	if why, ok := d.cannotShow(d.frames[id]); ok {
		s.Title, s.Text, s.Whole = fmt.Sprintf("%s cannot be shown", d.name(id)), []string{plainWhy(why), "it stays open until you decide it"}, true
		return s
	}
	switch {
	case d.edge == 0:
		return s
	case d.loupe.on:
		return d.closeLook(s)
	}
	return d.wholeLook(s)
}

// wholeLook is the whole picture of a frame.
func (d *Desk) wholeLook(s Shot) Shot {
	if p, ok := d.album.get(d.pictureKey(s.Frame, d.edge)); ok {
		s.Picture, s.Source, s.Whole = p.Image, p.Source, true
		return s
	}
	for _, key := range []string{d.plainKey(s.Frame, d.edge), d.pictureKey(s.Frame, thumbEdge)} { // until it is marked; until it is there
		if p, ok := d.album.get(key); ok {
			s.Picture = p.Image
			return s
		}
	}
	s.Title = fmt.Sprintf("reading %s", d.name(s.Frame))
	return s
}

// Coming returns what the next keys may ask to be seen, as far as it is ready, the
// likeliest first.
func (d *Desk) Coming() []Shot {
	if !d.begun {
		return nil
	}
	if d.InFan() {
		return d.fanComing()
	}
	var list []Shot
	for _, id := range d.around() {
		if s := d.lookAt(id); s.Picture != nil && s.Whole {
			list = append(list, s)
		}
	}
	if s, ok := d.nextFaceLook(); ok {
		list = append(list, s)
	}
	if s, ok := d.otherLook(); ok {
		list = append(list, s)
	}
	return list
}

// plainWhy says first what it means that a picture could not be made, and then
// what the program found.
func plainWhy(why string) string {
	found, decoding := strings.CutPrefix(strings.TrimPrefix(why, "it cannot be shown: "), prepare.NoPictureFound)
	if !decoding {
		return found
	}
	return fmt.Sprintf("the picture inside the file is damaged or cut off (%s)", found)
}

// cannotShow says why there is no picture of a frame to wait for.
func (d *Desk) cannotShow(f cull.Frame) (string, bool) {
	if why, ok := d.failed[f.ID]; ok {
		return why, true
	}
	for _, p := range f.Problems {
		if p.Code == cull.ProblemNoPicture {
			return p.Text, true
		}
	}
	if len(f.Files) == 0 {
		return "its files are no longer in the folder", true
	}
	return "", false
}

// emptyShot is shown while the job has no frames.
func (d *Desk) emptyShot() Shot {
	switch {
	case d.filling.running:
		p := d.filling.progress
		s := Shot{Title: "looking for frames"}
		if p.Total > 0 {
			s.Text = []string{fmt.Sprintf("%d of %d files", p.Done, p.Total)}
		}
		return s
	case d.filling.err != nil:
		return Shot{Title: "the folder could not be read", Text: []string{cause(d.filling.err)}, Whole: true}
	}
	return Shot{Title: "there are no frames in this folder", Text: []string{d.job.Root()}, Whole: true}
}
