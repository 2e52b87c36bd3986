package station

import (
	"fmt"
	"image"
	"path"
	"time"

	"garner/preview/sched"
)

// Shot returns what is to be seen now.
func (t *Trial) Shot() Shot { return t.shot }

// SetEdge says how large a picture the screen can show: the long edge in pixels.
func (t *Trial) SetEdge(pixels int) {
	if pixels != t.edge {
		t.edge = pixels
		t.renew()
	}
}

// SetRoom says how many pixels of the screen there are to fill; zero = single pixels
// cannot be shown.
func (t *Trial) SetRoom(room image.Point) {
	if room == t.room {
		return
	}
	t.room = room
	if room.X <= 0 && t.view == filePixels {
		t.view = wholeFile
	}
	t.renew()
}

// KeepSources says whether the way of pictures passes JPEGs on as they are.
func (t *Trial) KeepSources(keep bool) {
	if keep != t.sources {
		t.sources = keep
		t.album = album{}
		t.renew()
	}
}

// Redraw asks for what is seen once more, since the screen lost it.
func (t *Trial) Redraw() {
	t.shot.ID++
	t.version++
	t.renew()
}

// Drawn takes in that something is on the screen.
func (t *Trial) Drawn(id uint64, _ time.Time) {
	if id == t.shot.ID && t.shot.Whole && !t.begun {
		t.begun = true
		t.name()
		t.want()
	}
}

// Hidden takes in that something else covers the picture now: nothing is decided here.
func (t *Trial) Hidden() {}

// key names what is looked at: a picture in a set.
func (t *Trial) key() string { return t.keyOf(t.set, t.at) }

func (t *Trial) keyOf(set, at int) string {
	return fmt.Sprintf("%d %d", set, at)
}

func (t *Trial) renew() {
	next := t.look()
	if was := t.shot; !same(was, next) {
		next.ID = was.ID + 1
		t.shot = next
		t.version++
	} else {
		t.shot.Loupe = next.Loupe
	}
	t.want()
}

// look puts together what is to be seen.
func (t *Trial) look() Shot {
	key, name, set := t.key(), path.Base(t.pictures[t.at]), t.sets[t.set].Name
	if f, no := t.failed[key]; no {
		s := Shot{Title: fmt.Sprintf("%s cannot be cut for the set %s", name, set), Text: []string{f.why}, Whole: true}
		if f.advice != "" {
			s.Text = append(s.Text, "", f.advice)
		}
		return s
	}
	if _, ok := t.cuts.get(key); !ok {
		return Shot{Title: fmt.Sprintf("cutting %s for the set %s", name, set)}
	}
	switch t.view {
	case filePixels:
		return t.closeLook()
	case uncutPicture:
		if p, ok := t.album.get(t.uncutKey()); ok {
			return Shot{Picture: p.Image, Whole: true}
		}
	}
	s := Shot{Title: "reading " + name}
	if p, ok := t.album.get(t.wholeKey(t.set, t.at)); ok {
		s.Picture, s.Source, s.Whole = p.Image, p.Source, t.view == wholeFile
	}
	return s
}

// closeLook shows the pixels of the file, and until they are there what is known of them.
func (t *Trial) closeLook() Shot {
	s := Shot{Title: "reading " + path.Base(t.pictures[t.at]), Loupe: &LoupePart{}}
	p, ok := t.part()
	whole, there := t.album.get(t.wholeKey(t.set, t.at))
	if !ok {
		s.Picture = whole.Image
		return s
	}
	s.Loupe = &LoupePart{Part: p.rect, Size: p.size, From: t.aimed()}
	if c, ok := t.closeUps.get(t.closeKey(p)); ok {
		s.Picture, s.Whole = c.Image, true
	} else if there {
		s.Picture = t.blur.show(whole.Image, p)
	}
	return s
}

// aimed says how the place was found that is seen close.
func (t *Trial) aimed() string {
	switch {
	case t.panned:
		return ""
	case t.stamped():
		return "the stamp"
	}
	return "sharpest"
}

func (t *Trial) stamped() bool {
	c, ok := t.cuts.get(t.key())
	return ok && c.Stamped
}

// part is what of the file is seen close; false while the file is not open for that.
func (t *Trial) part() (part, bool) {
	d := t.details.get(t.detailID(t.set, t.at))
	if t.view != filePixels || d == nil || t.room.X <= 0 || t.room.Y <= 0 {
		return part{}, false
	}
	size := image.Pt(d.Width, d.Height)
	at := spotOf(d.Focus, size)
	switch {
	case t.panned:
		at = t.spot
	case t.stamped():
		at.x, at.y = t.showing.StampAt()
	}
	return partAround(at, size, t.room), true
}

// Coming returns what the next keys may ask to be seen, as far as it is ready.
func (t *Trial) Coming() []Shot {
	var list []Shot
	if t.view != wholeFile {
		return nil
	}
	for _, n := range t.around() {
		if p, ok := t.album.get(t.wholeKey(n.set, n.at)); ok {
			list = append(list, Shot{Picture: p.Image, Source: p.Source, Whole: true})
		}
	}
	return list
}

// placeInSets is a picture in a set.
type placeInSets struct{ set, at int }

// around are the next pictures on the way, the ones behind, and the same in the sets
// beside.
func (t *Trial) around() []placeInSets {
	var list []placeInSets
	add := func(set, at int) {
		if at >= 0 && at < len(t.pictures) && (set != t.set || at != t.at) {
			list = append(list, placeInSets{set, at})
		}
	}
	add(t.set, t.at+t.course)
	add((t.set+1)%len(t.sets), t.at)
	add(t.set, t.at-t.course)
	add(t.set, t.at+2*t.course)
	add((t.set+len(t.sets)-1)%len(t.sets), t.at)
	return list
}

// want asks for what is to be seen and for what the next keys may ask for, and calls
// off what was walked past.
func (t *Trial) want() {
	if t.edge == 0 {
		return
	}
	list := []trialWish{t.next(t.set, t.at, t.view, sched.Visible)}
	if t.begun && t.shot.Whole {
		for i, n := range t.around() {
			list = append(list, t.next(n.set, n.at, wholeFile, aheadClass(i)))
		}
	}
	wanted := map[string]bool{}
	for _, w := range list {
		wanted[w.key] = true
	}
	t.sched.Retain(func(key string) bool { return wanted[key] })
	for _, w := range list {
		t.request(w)
	}
}
