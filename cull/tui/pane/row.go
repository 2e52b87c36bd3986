package pane

import (
	"strings"

	"github.com/charmbracelet/x/ansi"
)

// seg is plain text and the pen that draws it.
type seg struct {
	pen  Pen
	text string
}

// row is a line before it is drawn.
type row []seg

func (r row) width() int {
	n := 0
	for _, s := range r {
		n += width(s.text)
	}
	return n
}

// draw makes the row exactly w cells wide: what is too long ends in "…", what is
// left over is filled with the base pen.
func (r row) draw(base Pen, w int) string {
	if w <= 0 {
		return ""
	}
	line, rest := r.paint(base, w, func(s string) string { return s })
	line += base.Paint(spaces(rest))
	if ascii(line) || ansi.StringWidth(line) == w {
		return line
	}
	// Characters of two segments have joined into one cluster.
	line, rest = r.paint(base, w, onlyASCII)
	return line + base.Paint(spaces(rest))
}

// paint draws at most w cells and returns how many are left.
func (r row) paint(base Pen, w int, as func(string) string) (string, int) {
	var b strings.Builder
	if over := r.width() > w; over {
		r = r.shorten(w)
	}
	for _, s := range r {
		text := cut(as(s.text), w)
		w -= width(text)
		if s.pen == (Pen{}) {
			s.pen = base
		}
		b.WriteString(s.pen.Paint(text))
	}
	return b.String(), w
}

// shorten cuts a row that is wider than w, so that the cut shows.
func (r row) shorten(w int) row {
	var out row
	for _, s := range r {
		if n := width(s.text); n < w {
			out, w = append(out, s), w-n
			continue
		}
		return append(out, seg{s.pen, cut(s.text+more, w)})
	}
	return out
}

func onlyASCII(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, s)
}

// part is something that a row shows in the longest of its forms for which there
// is room. Parts of a higher rank are shortened, and go, first; those of rank 0
// stay.
type part struct {
	rank  int
	forms []row
}

// say is a part of plain texts in one pen, longest first.
func say(rank int, pen Pen, forms ...string) part {
	p := part{rank: rank}
	for _, f := range forms {
		if f != "" {
			p.forms = append(p.forms, row{{pen, f}})
		}
	}
	return p
}

// fit chooses forms so that all parts with gap cells between them take at most w
// cells, and returns the rows that are left, in order. An absent part is nil.
func fit(parts []part, gap, w int) []row {
	at := make([]int, len(parts))
	size := func() int {
		n := -gap
		for i, p := range parts {
			if at[i] < len(p.forms) {
				n += p.forms[at[i]].width() + gap
			}
		}
		return n
	}
	for size() > w {
		last := -1
		for i, p := range parts {
			shrinks := at[i]+1 < len(p.forms) || at[i] < len(p.forms) && p.rank > 0
			if shrinks && (last < 0 || p.rank >= parts[last].rank) {
				last = i
			}
		}
		if last < 0 {
			break
		}
		at[last]++
	}
	rows := make([]row, len(parts))
	for i, p := range parts {
		if at[i] < len(p.forms) {
			rows[i] = p.forms[at[i]]
		}
	}
	return rows
}

// spread is a row with parts at its left and at its right end.
func spread(left, right []part, gap, w int) row {
	rows := fit(append(append([]part{}, left...), right...), gap, w)
	l, r := join(rows[:len(left)], gap), join(rows[len(left):], gap)
	if len(r) == 0 {
		return l
	}
	return append(append(l, seg{text: spaces(w - l.width() - r.width())}), r...)
}

func join(rows []row, gap int) row {
	var out row
	for _, r := range rows {
		if len(r) == 0 {
			continue
		}
		if len(out) > 0 {
			out = append(out, seg{text: spaces(gap)})
		}
		out = append(out, r...)
	}
	return out
}

// sheet draws rows as exactly height lines.
func sheet(rows []row, base Pen, w, height int) []string {
	if height <= 0 {
		return nil
	}
	lines := make([]string, height)
	for i := range lines {
		var r row
		if i < len(rows) {
			r = rows[i]
		}
		lines[i] = r.draw(base, w)
	}
	return lines
}

// window chooses which of n things to show in height lines so that the one at
// here is among them. Lines that say how many are hidden count as lines; above
// and below are 0 where there is none.
func window(n, here, height int) (from, to, above, below int) {
	if n <= height {
		return 0, n, 0, 0
	}
	here = min(max(here, 0), n-1)
	from = min(max(here-height/2, 0), n-height)
	to = from + height
	switch {
	case height <= 0:
		return 0, 0, 0, 0
	case height == 1:
		return here, here + 1, 0, 0
	case height == 2:
		return here, here + 1, 0, n - 1
	}
	if from > 0 {
		from++
		above = from
	}
	if to < n {
		to--
		below = n - to
	}
	return from, to, above, below
}
