package testterm

import (
	"image"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// maxCluster bounds the characters that may join in one cell.
const maxCluster = 64

// print writes a character at the cursor, or onto the one before it if the two
// are one grapheme cluster (Unicode Standard Annex 29). Widths are those of
// charmbracelet/x/ansi, which the program's layout counts with too.
func (g *Grid) print(r rune) {
	switch {
	case r == notUTF8:
		g.complain("bytes that are not UTF-8")
		r = utf8.RuneError
	case r >= 0x80 && r < 0xa0:
		// A C1 control in UTF-8: some terminals obey it, so a program that
		// lets one through is broken.
		g.complain("control character %U", r)
		return
	case unicode.Is(unicode.Bidi_Control, r):
		g.complain("bidirectional control %U", r)
		return
	}
	width := 1
	if !alone(r) {
		if g.join(r) {
			return
		}
		width = ansi.StringWidth(string(r))
	}
	if width == 0 {
		return // nothing there to combine with
	}
	width = min(width, g.cols)
	c := &g.cursor
	if c.pending || c.col+width > g.cols {
		if g.modes[modeWrap] {
			c.col = 0
			g.index()
		} else {
			c.col = g.cols - width
		}
	}
	c.pending = false
	g.put(string(r), width)
	g.last, g.lastOK = image.Pt(c.col, c.row), true
	if c.col += width; c.col >= g.cols {
		c.col, c.pending = g.cols-1, true
	}
}

// alone knows at once the commonest characters that are one cell wide and
// combine with nothing before them: Latin, box drawing and block elements.
func alone(r rune) bool {
	return r < 0x300 && r != 0xad || r >= 0x2500 && r < 0x25a0
}

// put sets the cells of one character at the cursor.
func (g *Grid) put(text string, width int) {
	line, c := g.scr().lines[g.cursor.row], g.cursor.col
	g.tear(line, c, c+width)
	for i := range width {
		line[c+i] = g.cursor.pen
	}
	line[c].Rune = text
}

// join adds a character to the one printed just before.
func (g *Grid) join(r rune) bool {
	if !g.lastOK {
		return false
	}
	line := g.scr().lines[g.last.Y]
	cell := &line[g.last.X]
	both := cell.Rune + string(r)
	mark := unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf)
	cluster, width := ansi.FirstGraphemeCluster(both, ansi.GraphemeWidth)
	if cluster != both && !mark {
		return false
	}
	if len(both) > maxCluster {
		return true // the rest is dropped
	}
	cell.Rune = both
	if right := g.last.X + 1; width == 2 && right < g.cols && line[right].Rune != "" && right == g.cursor.col {
		// The character became a wide one, as with U+FE0F.
		g.tear(line, right, right+1)
		line[right] = cell.style()
		if g.cursor.col++; g.cursor.col >= g.cols {
			g.cursor.col, g.cursor.pending = g.cols-1, true
		}
	}
	return true
}

// tear makes the edges of a stretch whole: of a wide character that is
// overwritten by half, the other half becomes blank.
func (g *Grid) tear(line []Cell, from, to int) {
	if from > 0 && from < len(line) && line[from].Rune == "" {
		line[from-1].Rune, line[from].Rune = " ", " "
	}
	if to > 0 && to < len(line) && line[to].Rune == "" {
		line[to-1].Rune, line[to].Rune = " ", " "
	}
}

// mendEnd blanks a wide character whose right half was cut off.
func mendEnd(line []Cell) {
	last := &line[len(line)-1]
	if ansi.StringWidth(last.Rune) > 1 {
		last.Rune = " "
	}
}

// control is a character of the C0 set (ECMA-48 §8.3).
func (g *Grid) control(b byte) {
	g.lastOK = false
	c := &g.cursor
	switch b {
	case '\r':
		c.col, c.pending = 0, false
	case '\n', '\v', '\f':
		c.pending = false
		g.index()
	case '\b':
		c.col, c.pending = max(0, c.col-1), false
	case '\t':
		for c.col < g.cols-1 {
			if c.col++; g.tabs[c.col] {
				break
			}
		}
	case 0, 7: // NUL, BEL
	default:
		g.complain("control character %#02x", b)
	}
}

// index moves down and scrolls at the bottom margin (IND).
func (g *Grid) index() {
	s := g.scr()
	switch {
	case g.cursor.row == s.bottom:
		g.scroll(s.top, s.bottom, 1)
	case g.cursor.row < g.rows-1:
		g.cursor.row++
	}
}

// reverseIndex moves up and scrolls at the top margin (RI).
func (g *Grid) reverseIndex() {
	s := g.scr()
	switch {
	case g.cursor.row == s.top:
		g.scroll(s.top, s.bottom, -1)
	case g.cursor.row > 0:
		g.cursor.row--
	}
}

// scroll moves the lines from top to bottom up by n, down where n is negative.
// Pictures go with the text.
func (g *Grid) scroll(top, bottom, n int) {
	s := g.scr()
	height := bottom - top + 1
	n = clamp(n, -height, height)
	part := s.lines[top : bottom+1]
	moved := make([][]Cell, height)
	for i := range moved {
		if from := i + n; from >= 0 && from < height {
			moved[i] = part[from]
		} else {
			moved[i] = blankLine(g.cols, g.cursor.pen)
		}
	}
	copy(part, moved)
	s.images.scroll(top, bottom, n)
}
