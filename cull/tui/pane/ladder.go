package pane

import (
	"path"
	"time"

	"garner/cull"
)

// Rung is one frame of the current moment.
type Rung struct {
	Name     string
	Answer   cull.Answer
	Explicit bool // answered by itself, not with its burst
	Here     bool
	Seen     bool // it has been on the screen
	Broken   bool // it cannot be shown
	After    time.Duration
	Body     string
	Marks    []Mark // what the measurements say of it
	Found    bool   // it was found again, in whichever folder: its name matters more than how it was answered

	with bool // among frames of other moments: it is of the one where one is
}

// Ladder is the moment under the cursor, a rung a frame, and below it the moments
// that look alike.
type Ladder struct {
	Pass   string // "" = keep
	Kind   cull.MomentKind
	Series cull.SeriesKind // of a moment of the kind Series
	Rungs  []Rung
	Why    string // why one of them is marked, or why none is; "" = nothing is said
	Alike  []Alike
}

// Lines returns a heading, the rungs around the one that is here, how many are
// answered how, and below a thin line the moments that look alike.
func (l Ladder) Lines(st *Styles, w, height int) []string {
	below := l.alikeRows(st, w, height)
	rows := l.rungRows(st, w, height-len(below))
	return sheet(append(rows, below...), Pen{}, w, height)
}

// rungRows are the rows of the moment itself, as many as height where something
// stands below them.
func (l Ladder) rungRows(st *Styles, w, height int) []row {
	here := l.here()
	space := height - 1
	foot, gap := height >= 3, height >= 6
	if foot {
		space--
	}
	if gap {
		space--
	}
	why := l.whyRows(st, w, space)
	space -= len(why)
	rows := []row{l.head(st, here, w)}
	from, to, above, below := window(len(l.Rungs), here, space)
	if above > 0 {
		rows = append(rows, hidden(st, above))
	}
	short, bodies := l.oneFolder(), l.manyBodies()
	for _, r := range l.Rungs[from:to] {
		if !bodies {
			r.Body = ""
		}
		rows = append(rows, r.row(st, short, w))
	}
	if below > 0 {
		rows = append(rows, hidden(st, below))
	}
	rows = append(rows, why...)
	if foot {
		if gap {
			rows = append(rows, nil)
		}
		rows = append(rows, l.foot(st, w))
	}
	return rows
}

func hidden(st *Styles, n int) row { return row{{st.Quiet, "  " + number(n) + " more"}} }

func (l Ladder) here() int {
	for i, r := range l.Rungs {
		if r.Here {
			return i
		}
	}
	return -1
}

// oneFolder reports whether all frames lie in one folder, so that it needs not
// be said.
func (l Ladder) oneFolder() bool {
	for _, r := range l.Rungs {
		if path.Dir(r.Name) != path.Dir(l.Rungs[0].Name) {
			return false
		}
	}
	return true
}

// manyBodies reports whether the moment was taken with more than one body.
func (l Ladder) manyBodies() bool {
	for _, r := range l.Rungs {
		if r.Body != l.Rungs[0].Body {
			return true
		}
	}
	return false
}

func (l Ladder) head(st *Styles, here, w int) row {
	n := len(l.Rungs)
	title := Title(l.Kind, l.Series, n)
	var right []part
	if here >= 0 && n > 1 {
		right = []part{say(1, st.Quiet, number(here+1)+" of "+number(n), number(here+1)+"/"+number(n))}
	}
	return spread([]part{say(0, st.Strong, title)}, right, 2, w)
}

func (l Ladder) foot(st *Styles, w int) row {
	var c cull.Counts
	for _, r := range l.Rungs {
		switch r.Answer {
		case cull.Yes:
			c.Yes++
		case cull.No:
			c.No++
		case cull.Open:
			c.Open++
		default:
			c.Part++
		}
	}
	return join(fit([]part{answered(st, c, l.Pass, 0)}, 0, w), 0)
}

// answered says how many frames are answered how.
func answered(st *Styles, c cull.Counts, pass string, rank int) part {
	var long, short row
	n := [4]int{cull.Yes: c.Yes, cull.No: c.No, cull.Part: c.Part, cull.Open: c.Open}
	for _, a := range []cull.Answer{cull.Yes, cull.No, cull.Part, cull.Open} {
		if a == cull.Part && n[a] == 0 {
			continue
		}
		pen := st.Quiet
		if a == cull.Yes && n[a] > 0 {
			pen = st.Kept
		}
		if len(long) > 0 {
			long, short = append(long, seg{text: "  "}), append(short, seg{text: "  "})
		}
		long = append(long, seg{pen, number(n[a]) + " " + word(a, pass)})
		short = append(short, seg{pen, sign(a) + number(n[a])})
	}
	return part{rank, []row{long, short}}
}

// row is a rung: where one is, the sign, the name, and at the right end what is
// special and the time.
func (r Rung) row(st *Styles, short bool, w int) row {
	back, dim, warn := r.pens(st)
	note := say(rankNote, dim, since(r.After)...)
	if r.Broken {
		note = say(1, warn, "no picture", signBroken)
	}
	return r.beside(st, short, w, []part{r.marks(st), note}, back, dim)
}

// pens are those of what stands around the name.
func (r Rung) pens(st *Styles) (back, dim, warn Pen) {
	if r.Here {
		return st.back, st.hereDim, st.hereWarn
	}
	return Pen{}, st.Quiet, st.Warn
}

// beside is a row with the frame's signs and name, its body, and what else is said
// at the right end.
func (r Rung) beside(st *Styles, short bool, w int, right []part, back, dim Pen) row {
	gutter := seg{st.Here, " "}
	switch {
	case r.Here:
		gutter = seg{st.hereKey, signHere}
	case r.with:
		gutter = seg{st.Here, signWith}
	}
	signs := row{gutter, {r.signPen(st, dim), r.signs()}, {back, " "}}

	name := clean(r.Name)
	if short {
		name = path.Base(name)
	}
	if b := clean(r.Body); b != "" {
		right = append([]part{say(rankFrameBody, dim, b)}, right...)
	}

	// The name keeps so many cells at least: then what stands beside it goes.
	keeps, gap := 8, 2
	if r.Found {
		keeps, gap = 12, 1 // with the folder, which tells bodies apart
	}
	room := w - signs.width() - gap
	beside := join(fit(right, 1, room-min(keeps, width(name))), 1)
	room -= beside.width()
	if len(beside) == 0 {
		room += gap
	}
	name = cutLeft(name, room)
	out := append(signs, seg{st.answer(r.Answer, r.Here), name})
	out = append(out, seg{back, spaces(w - out.width() - beside.width())})
	return append(out, r.over(beside, back)...)
}

// over fills the gaps of a row with a background.
func (r Rung) over(in row, back Pen) row {
	for i := range in {
		if in[i].pen == (Pen{}) {
			in[i].pen = back
		}
	}
	return in
}

func (r Rung) signPen(st *Styles, dim Pen) Pen {
	if r.Answer == cull.Yes || r.Answer == cull.Part {
		return st.answer(r.Answer, r.Here)
	}
	return dim
}

// signs is the answer's sign, in brackets if it came with the burst, and whether
// it was given unseen. Of what was found again the answer alone is told.
func (r Rung) signs() string {
	switch {
	case r.Found:
		return sign(r.Answer)
	case r.Answer == cull.Open && r.Seen:
		return " " + signSeen + "  "
	case r.Answer == cull.Open:
		return " " + signOpen + "  "
	}
	s, unseen := sign(r.Answer), " "
	if !r.Seen {
		unseen = signUnseen
	}
	if r.Explicit {
		return " " + s + " " + unseen
	}
	return "(" + s + ")" + unseen
}
