package term

// way is one way of bringing pictures onto a terminal. A new one is a file with
// a way and a line in newWay.
type way interface {
	// grid is what pictures are made of, on a terminal whose cells have w by h
	// pixels.
	grid(w, h float64) grid
	// prepare does the heavy work for one picture: all that does not depend on
	// where it will be shown. It may run on several goroutines at once, each
	// with an easel of its own, and keeps nothing of the easel's.
	prepare(e *easel, s *sheet) (load, error)
	// show writes what puts a prepared picture onto the screen. It is cheap.
	// The cells of the spot's area that the picture leaves free are its to
	// clear (see spot.clear); no others are touched.
	show(o *ink, s *sheet, at spot)
}

// keeper is a way whose terminal keeps pictures under ids: they are sent before
// they are shown, and taken away by name. For other ways the cells that are
// written over are all there is.
type keeper interface {
	// send writes what brings a prepared picture into the terminal's store
	// under s.id, without showing it.
	send(o *ink, s *sheet)
	// hide takes placement n of it off the screen and leaves it in the store.
	hide(o *ink, id, n int)
	// forget frees what the store has under an id, and other pictures stay.
	forget(o *ink, id int)
}

// deleter is a keeper that leaves nothing of a picture, at the end.
type deleter interface{ delete(o *ink, id int) }

// grid is what a way's pictures are made of.
type grid struct {
	w, h   float64 // pixels of a cell
	aspect float64 // of a pixel on the screen, width to height
	// Pictures have a multiple of these pixels, so that no part of a cell is
	// left over; 1 where a part can be clear.
	stepX, stepY int
}

// load is what a way made of a picture.
type load struct {
	data []byte // as show or send write it
	ends []int  // of the rows of cells in data, for ways that write cells
	// parts are what data consists of where one drawing cannot hold it all.
	parts []drawing
	file  string // what the terminal will take the pixels from
	medium
	size int64 // bytes that it holds, in memory or in a file
}

// spot is where and over what a picture is shown.
type spot struct {
	cells Area // that the picture touches
	area  Area // the piece's own, round them
	// unknown is set where anything may stand in the area; else it is clear
	// but for the cells of before, which a picture had in the same area.
	unknown bool
	before  Area
	n       int // of the placement
}

// clear erases what of the area the picture does not cover.
func (s spot) clear(o *ink) {
	if s.unknown {
		o.clear(s.area, s.cells)
	} else {
		o.clear(s.before, s.cells)
	}
}

// clearAround is clear for pictures that may leave a part of a cell free: those
// cells are erased too. What stood in all others is covered.
func (s spot) clearAround(o *ink, l layout) {
	if l.w > l.pw {
		s.cells.Col, s.cells.Cols = s.cells.Col+1, max(s.cells.Cols-2, 0)
	}
	if l.h > l.ph {
		s.cells.Row, s.cells.Rows = s.cells.Row+1, max(s.cells.Rows-2, 0)
	}
	s.clear(o)
}

// newWay returns the way for a mode.
func newWay(m Mode, c Caps, o PainterOptions, f *files) way {
	switch m {
	case Kitty:
		return &kittyPlaced{newKitty(c, f)}
	case KittyCells:
		return &kittyCells{newKitty(c, f)}
	case Sixel:
		return newSixels(c)
	case Inline:
		if !c.Tmux { // does not let it through
			return inline{}
		}
	}
	b := newBlocks(o.Colors256 || !c.TrueColor)
	if m == Quadrants {
		return &quadrants{b}
	}
	return b
}
