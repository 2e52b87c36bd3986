package station

import (
	"fmt"
	"image"
	"path"
	"time"

	"garner/preview/sched"
)

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
	if t.keep(keep) {
		t.renew()
	}
}

// Redraw asks for what is seen once more, since the screen lost it.
func (t *Trial) Redraw() {
	t.lost()
	t.renew()
}

// Drawn takes in that something is on the screen.
func (t *Trial) Drawn(id uint64, _ time.Time) {
	if t.first(id) {
		t.name()
		t.want()
	}
}

// key names what is looked at: a picture in a set.
func (t *Trial) key() string { return t.keyOf(t.set, t.at) }

func (t *Trial) keyOf(set, at int) string {
	return fmt.Sprintf("%d %d", set, at)
}

func (t *Trial) renew() {
	t.turn(t.look())
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
	if whole, ok := t.album.get(t.wholeKey(t.set, t.at)); ok {
		s.Picture = whole.Image
	}
	if p, ok := t.part(); ok {
		s.Loupe = &LoupePart{Part: p.rect, Size: p.size, From: t.aimed()}
		t.closeUp(&s, t.closeKey(p), p)
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
	if t.view != filePixels {
		return part{}, false
	}
	return t.partOf(t.details.get(t.detailID(t.set, t.at)), func(at spot) spot {
		if t.stamped() {
			at.x, at.y = t.showing.StampAt()
		}
		return at
	})
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
	list := []errand[tried]{t.next(t.set, t.at, t.view, sched.Visible)}
	if t.begun && t.shot.Whole {
		for i, n := range t.around() {
			list = append(list, t.next(n.set, n.at, wholeFile, aheadClass(i)))
		}
	}
	t.work.only(list)
}
