package pane

import (
	"fmt"
	"strings"
	"time"

	"garner/cull"
)

// Fan is many frames at once: rows of pictures, which the text leaves room for, each
// with a line below it, and a heading above all.
type Fan struct {
	Pass   string // "" = keep
	Kind   cull.MomentKind
	Series cull.SeriesKind // of a moment of the kind Series
	Whole  bool            // it is over the whole pass, not a moment
	Alike  int             // it is over a set of look-alikes of so many moments; 0 = it is not
	From   int             // number of the first tile in the fan, from 1
	Total  int             // frames of the fan
	Counts cull.Counts
	Tiles  []Tile // those on the screen, row by row
	Why    string // why one of them is marked, or why none is
	Title  string // instead of what a fan of the station is over; "" = that
}

// Tile is one frame of a fan. Its picture takes the cells of Col, Row, Cols and
// Rows, counted from the first below the heading; its line stands in the row below.
type Tile struct {
	Rung
	Col, Row, Cols, Rows int
	Picture              bool      // there is one, or will be: its cells are left alone
	Waiting              bool      // what is to be seen is still being made
	Why                  string    // why it cannot be shown
	NotNear              bool      // in the loupe: its own pixels cannot be seen
	Moment               bool      // it is of the moment where one is
	At                   time.Time // by the clock; zero = not known
	Of                   int       // in a fan of look-alikes: which of their moments it is of, from 1
	Note                 []string  // instead of what the fan says of a frame, longest first; nil = that
}

// Hole moves over cells without touching what stands there (ECMA-48 8.3.20, CUF).
func Hole(cells int) string { return fmt.Sprintf("\x1b[%dC", cells) }

// Lines returns the heading and the rows of the tiles. Every line takes w cells,
// those that it leaves alone included.
func (f Fan) Lines(st *Styles, w, height int) []string {
	if height <= 0 || w <= 0 {
		return nil
	}
	lines := make([]string, 1, height)
	lines[0] = f.head(st, w).draw(Pen{}, w)
	short, bodies := f.oneFolder(), f.manyBodies()
	for y := range height - 1 {
		var b strings.Builder
		at := 0
		for i := range f.Tiles {
			t := &f.Tiles[i]
			if y < t.Row || y > t.Row+t.Rows || t.Col < at || t.Cols <= 0 || t.Col+t.Cols > w {
				continue
			}
			edge, pen := " ", Pen{}
			if t.Here && y < t.Row+t.Rows {
				edge, pen = signBeside, st.Here
			}
			if t.Col > at {
				b.WriteString(spaces(t.Col - at - 1))
				b.WriteString(f.beside(st, i, y))
			}
			at = t.Col + t.Cols
			switch {
			case y == t.Row+t.Rows:
				b.WriteString(t.line(st, f, short, bodies).draw(Pen{}, t.Cols))
			case t.Picture:
				b.WriteString(Hole(t.Cols))
			default:
				b.WriteString(t.message(st)[y-t.Row])
			}
			if at < w && !f.follows(i) {
				b.WriteString(pen.Paint(edge))
				at++
			}
		}
		b.WriteString(spaces(w - at))
		lines = append(lines, b.String())
	}
	return lines
}

// beside is the cell between a tile and the one before it in its row: it shows
// whether the cursor is on one of them.
func (f Fan) beside(st *Styles, i, y int) string {
	t := f.Tiles[i]
	here := t.Here || i > 0 && f.follows(i-1) && f.Tiles[i-1].Here
	if here && y < t.Row+t.Rows {
		return st.Here.Paint(signBeside)
	}
	return " "
}

// follows reports whether the next tile stands in the same row.
func (f Fan) follows(i int) bool {
	return i+1 < len(f.Tiles) && f.Tiles[i+1].Row == f.Tiles[i].Row && f.Tiles[i+1].Col > f.Tiles[i].Col
}

func (f Fan) oneFolder() bool { return Ladder{Rungs: f.rungs()}.oneFolder() }

func (f Fan) manyBodies() bool { return Ladder{Rungs: f.rungs()}.manyBodies() }

func (f Fan) rungs() []Rung {
	rungs := make([]Rung, len(f.Tiles))
	for i := range f.Tiles {
		rungs[i] = f.Tiles[i].Rung
	}
	return rungs
}

// head says what the fan is over, how its frames are answered, and which of them
// are seen.
func (f Fan) head(st *Styles, w int) row {
	title := Title(f.Kind, f.Series, f.Total)
	switch {
	case f.Whole:
		title = "all " + number(f.Total) + " of the pass"
	case f.Alike > 0:
		title = "alike: " + frames(f.Total) + " of " + number(f.Alike) + " moments"
	}
	left := []part{say(0, st.Strong, title), answered(st, f.Counts, f.Pass, 1)}
	if own := clean(f.Title); own != "" {
		left = []part{say(0, st.Strong, own)}
	}
	if why := clean(f.Why); why != "" {
		short, _, _ := strings.Cut(why, ":")
		left = append(left, say(3, st.Quiet, why, short))
	}
	var right []part
	if n := len(f.Tiles); n < f.Total && n > 0 {
		first, last, all := number(f.From), number(f.From+n-1), number(f.Total)
		right = []part{say(2, st.Text, "frames "+first+"-"+last+" of "+all, first+"-"+last+" of "+all)}
	}
	return spread(left, right, 3, w)
}

// message stands in the place of a picture that there is none of.
func (t *Tile) message(st *Styles) []string {
	return Message{Title: "cannot be shown", Lines: []string{t.Why}}.Block(st, t.Cols, t.Rows)
}

// line is what stands below the picture.
func (t *Tile) line(st *Styles, f Fan, short, bodies bool) row {
	r := t.Rung
	if !bodies {
		r.Body = ""
	}
	r.with = (f.Whole || f.Alike > 0) && t.Moment
	back, dim, warn := r.pens(st)
	var note part
	switch {
	case r.Broken:
		note = say(rankNote, warn, "no picture", signBroken)
	case t.Waiting:
		note = say(rankNote, dim, "reading"+more, more)
	case t.NotNear:
		note = say(rankNote, warn, "not 1:1")
	case t.Note != nil:
		note = say(rankNote, dim, cleanAll(t.Note)...)
	case f.Alike > 0:
		n := number(t.Of)
		note = say(rankNote, dim, "moment "+n, "m"+n)
	case !f.Whole:
		note = say(rankNote, dim, since(r.After)...)
	case !t.At.IsZero():
		note = say(rankNote, dim, t.At.Format("15:04:05"), t.At.Format("15:04"))
	}
	return r.beside(st, short, t.Cols, []part{r.marks(st), note}, back, dim)
}
