package term

import (
	"weak"

	"garner/preview/jpeg"
)

// key is what makes two prepared pictures the same. The picture is known by
// where it lies, which a weak pointer tells without keeping its pixels.
type key struct {
	picture weak.Pointer[jpeg.Image]
	layout
	look Look
}

func keyOf(piece *Piece, l layout) key { return key{weak.Make(piece.Picture), l, piece.Look} }

// sheet is a picture in a size and a look. It is made when it has a load; where
// the terminal keeps pictures the load goes there and an id stays.
type sheet struct {
	key
	picture *jpeg.Image // until it is made
	jpeg    []byte      // the same, in the file's own bytes, if there are any
	made    bool
	load    load
	id      int    // under which the terminal has it; 0 = it has not
	sent    uint64 // the turn in which it got that
	turn    uint64 // the last in which it was on the screen
	used    uint64 // when it was last used, by the store's clock
	rank    int    // among those that are wanted, from 1; 0 = it is not
}

// bytes is what the sheet holds, in the terminal or here.
func (s *sheet) bytes() int64 {
	if s.id != 0 {
		return pixelBytes(s.layout)
	}
	return s.load.size
}

// going reports whether the sheet is on its way to the terminal, in parts.
func (s *sheet) going() bool { return s.made && s.id != 0 }

func (s *sheet) held() bool { return s.made || s.id != 0 }

// pixelBytes is what a terminal needs for a picture.
func pixelBytes(l layout) int64 { return int64(l.w) * int64(l.h) * 4 }

// store holds the sheets, what is on the screen among them. It is bounded: the
// least recently used go first, of those that are wanted the least likely.
type store struct {
	sheets  map[key]*sheet
	clock   uint64
	limit   int   // sheets that are not on the screen
	bytes   int64 // of all, but that those on the screen always stay
	stays   uint64
	turn    uint64 // of the screen; sheets shown in it, or fewer than stays before it, are on it
	dropped func(*sheet)
}

// sheet returns the sheet for a piece in a layout and counts it as used.
func (t *store) sheet(piece *Piece, l layout) *sheet {
	k := keyOf(piece, l)
	s := t.sheets[k]
	if s == nil {
		s = &sheet{key: k}
		t.sheets[k] = s
	}
	if !s.held() {
		s.picture, s.jpeg = piece.Picture, piece.JPEG
	}
	t.use(s)
	return s
}

func (t *store) use(s *sheet) {
	t.clock++
	s.used = t.clock
}

// shown reports whether a sheet may be on the screen.
func (t *store) shown(s *sheet) bool { return s.turn != 0 && s.turn+t.stays >= t.turn }

// onScreen is what the sheets hold that always stay.
func (t *store) onScreen() (sum int64) {
	for _, s := range t.sheets {
		if s.held() && t.shown(s) {
			sum += s.bytes()
		}
	}
	return sum
}

// trim makes room for so many more sheets and bytes for one of a rank, and
// reports whether there is. Sheets that are wanted more stay.
func (t *store) trim(more int, bytes int64, rank int) bool {
	var off int
	sum := bytes
	for _, s := range t.sheets {
		if s.held() {
			sum += s.bytes()
			if !t.shown(s) {
				off++
			}
		}
	}
	for off+more > t.limit || sum > t.bytes {
		s := t.victim(rank)
		if s == nil {
			return false
		}
		off--
		sum -= s.bytes()
		t.drop(s)
	}
	return true
}

// victim returns the sheet that goes next, nil if all stay.
func (t *store) victim(rank int) *sheet {
	var v *sheet
	for _, s := range t.sheets {
		if !s.held() || s.going() || t.shown(s) || rank != 0 && s.rank != 0 && s.rank <= rank {
			continue
		}
		switch {
		case v == nil, v.rank == 0 && s.rank == 0 && s.used < v.used, v.rank != 0 && (s.rank == 0 || s.rank > v.rank):
			v = s
		}
	}
	return v
}

func (t *store) drop(s *sheet) {
	delete(t.sheets, s.key)
	t.dropped(s)
}
