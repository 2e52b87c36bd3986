package pane

import (
	"path"
	"strings"
	"time"

	"garner/cull"
)

// Alike is another moment of the set of look-alikes that the moment under the
// cursor belongs to.
type Alike struct {
	Name   string // of its first frame
	Body   string
	Kind   cull.MomentKind
	Series cull.SeriesKind
	Counts cull.Counts
	After  time.Duration // from the moment under the cursor on
}

// alikeRows are the thin line and the moments below it, at most half of height.
func (l Ladder) alikeRows(st *Styles, w, height int) []row {
	if len(l.Alike) == 0 || height < 4 {
		return nil
	}
	n := 0
	for _, a := range l.Alike {
		n += a.Counts.All()
	}
	rows := []row{ruled(st, "alike: "+number(n)+" more", w)}
	if height >= 8 {
		rows = append([]row{nil}, rows...)
	}
	room := height/2 - len(rows)
	shown := min(len(l.Alike), room)
	if shown < len(l.Alike) {
		shown = max(0, room-1)
	}
	for _, a := range l.Alike[:shown] {
		rows = append(rows, a.row(st, l, w))
	}
	if rest := len(l.Alike) - shown; rest > 0 && room > 0 {
		rows = append(rows, hidden(st, rest))
	}
	return rows
}

// ruled is a thin line across the width with words in it.
func ruled(st *Styles, words string, w int) row {
	const line = "─"
	words = line + " " + words + " "
	if width(words) > w {
		words = cut(words, w)
	}
	return row{{st.Quiet, words + strings.Repeat(line, max(0, w-width(words)))}}
}

// row is one of the moments, dim: whether something of it is kept, its first frame,
// how many there are, and how much later it was.
func (a Alike) row(st *Styles, l Ladder, w int) row {
	name := clean(a.Name)
	if l.oneFolder() && len(l.Rungs) > 0 && path.Dir(name) == path.Dir(l.Rungs[0].Name) {
		name = path.Base(name)
	}
	n := number(a.Counts.All())
	what := say(1, st.Quiet, Title(a.Kind, a.Series, a.Counts.All()), frames(a.Counts.All()), "x"+n)
	right := []part{what, say(2, st.Quiet, since(a.After)...)}
	if b := clean(a.Body); b != "" && (len(l.Rungs) == 0 || l.Rungs[0].Body != a.Body) && !strings.HasPrefix(name, b+"/") {
		right = append([]part{say(1, st.Quiet, b)}, right...)
	}
	left := row{{text: "  "}, {st.Quiet, a.sign() + " "}}
	room := w - left.width() - 1
	beside := join(fit(right, 1, room-min(8, width(name))), 1)
	room -= beside.width()
	name = cutLeft(name, room)
	out := append(left, seg{st.Quiet, name})
	return append(append(out, seg{text: spaces(w - out.width() - beside.width())}), beside...)
}

// sign says what matters most about another take: that one of it is kept, else
// that some of it is open.
func (a Alike) sign() string {
	switch {
	case a.Counts.Yes > 0:
		return signKept
	case a.Counts.Open > 0:
		return signOpen
	case a.Counts.Part > 0:
		return signPart
	}
	return signDropped
}
