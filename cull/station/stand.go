package station

import (
	"image"

	"garner/preview"
)

// stand is what the desks beside the station's own have in common at which one picture is
// looked at, whole or its single pixels.
type stand struct {
	board
	sources  bool        // the way of pictures passes JPEGs on as they are
	edge     int         // long edge of a whole picture, in pixels
	room     image.Point // pixels of the screen to be filled with single ones
	album    album       // pictures for the screen
	closeUps album       // parts at their own pixels
	details  details     // what these are made from
	spot     spot        // what was panned to
	panned   bool
	blur     blur
	shot     Shot
	begun    bool // something has been drawn
}

// Shot returns what is to be seen now.
func (s *stand) Shot() Shot { return s.shot }

// Hidden takes in that something else covers the pictures: nothing is decided here.
func (s *stand) Hidden() {}

// turn takes what is to be seen; its number grows when that looks different.
func (s *stand) turn(next Shot) {
	if same(s.shot, next) {
		s.shot.Loupe = next.Loupe
		return
	}
	next.ID = s.shot.ID + 1
	s.shot = next
	s.version++
}

// lost has what is seen drawn once more, since the screen lost it.
func (s *stand) lost() {
	s.shot.ID++
	s.version++
}

// first takes in that something is on the screen, and reports whether nothing was before.
func (s *stand) first(id uint64) bool {
	if s.begun || id != s.shot.ID || !s.shot.Whole {
		return false
	}
	s.begun = true
	return true
}

// keep says whether JPEGs are kept beside pictures, and whether that is new: then those
// that there are have to be made again.
func (s *stand) keep(sources bool) bool {
	if sources == s.sources {
		return false
	}
	s.sources, s.album = sources, album{}
	return true
}

// partOf is what is seen close of a picture that is open for it, around a spot unless
// another was panned to; false while there is none.
func (s *stand) partOf(d *preview.Detail, around func(at spot) spot) (part, bool) {
	if d == nil || s.room.X <= 0 || s.room.Y <= 0 {
		return part{}, false
	}
	size := image.Pt(d.Width, d.Height)
	at := around(spotOf(d.Focus, size))
	if s.panned {
		at = s.spot
	}
	return partAround(at, size, s.room), true
}

// pan moves the part that is seen; ok is false while none is. It reports whether it moved.
func (s *stand) pan(now part, ok bool, p Pan) bool {
	if !ok {
		s.Refuse("nothing to move: it is not seen close yet")
		return false
	}
	next := now.panned(p.X, p.Y)
	if next == now {
		s.Refuse(edgeOf(p))
		return false
	}
	s.spot, s.panned = next.middle(), true
	s.settled()
	return true
}

// closeUp shows the part of a picture in its pixels, or the whole enlarged until they are
// there.
func (s *stand) closeUp(shot *Shot, key string, p part) {
	if c, ok := s.closeUps.get(key); ok {
		shot.Picture, shot.Whole = c.Image, true
	} else if shot.Picture != nil {
		shot.Picture = s.blur.show(shot.Picture, p)
	}
}
