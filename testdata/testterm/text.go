package testterm

import (
	"fmt"
	"image"
	"strings"

	"github.com/charmbracelet/x/ansi/kitty"
)

// Row returns the text of one row without the blanks at its end. Cells that
// stand for a part of a picture are one ░ each.
func (g *Grid) Row(row int) string {
	if row < 0 || row >= g.rows {
		return ""
	}
	var b strings.Builder
	for _, c := range g.scr().lines[row] {
		b.WriteString(visible(c))
	}
	return strings.TrimRight(b.String(), " ")
}

func visible(c Cell) string {
	if strings.HasPrefix(c.Rune, string(kitty.Placeholder)) {
		return "░"
	}
	return c.Rune
}

// Text returns the rows, without the blanks at their ends and without the
// empty rows at the screen's end.
func (g *Grid) Text() string {
	rows := make([]string, g.rows)
	for r := range rows {
		rows[r] = g.Row(r)
	}
	return strings.TrimRight(strings.Join(rows, "\n"), "\n")
}

// Styled returns text and attributes in a form that reads well and compares
// well: every row between bars, under it (where any cell has a style) one
// letter a column for the style, and at the end what each letter means. The
// given areas hold pictures: their cells are shown as ▒, whatever they are.
func (g *Grid) Styled(pictures ...image.Rectangle) string {
	var b strings.Builder
	letters := map[Cell]rune{}
	var order []Cell
	letter := func(c Cell) rune {
		style := c.style()
		if style == (Cell{}) {
			return '.'
		}
		if _, known := letters[style]; !known {
			letters[style] = nthLetter(len(order))
			order = append(order, style)
		}
		return letters[style]
	}
	for r, line := range g.scr().lines {
		var text, styles strings.Builder
		for c, cell := range line {
			switch {
			case inAny(image.Pt(c, r), pictures):
				text.WriteRune('▒')
				styles.WriteRune('.')
			case strings.HasPrefix(cell.Rune, string(kitty.Placeholder)):
				text.WriteRune('░')
				styles.WriteRune('.')
			default:
				text.WriteString(cell.Rune)
				styles.WriteRune(letter(cell))
			}
		}
		fmt.Fprintf(&b, "|%s|\n", text.String())
		if s := strings.TrimRight(styles.String(), "."); s != "" {
			fmt.Fprintf(&b, " %s\n", s)
		}
	}
	for _, style := range order {
		fmt.Fprintf(&b, "%c: %s\n", letters[style], style.Style())
	}
	return b.String()
}

func inAny(p image.Point, areas []image.Rectangle) bool {
	for _, a := range areas {
		if p.In(a) {
			return true
		}
	}
	return false
}

// nthLetter names styles: a-z, A-Z, then the letters from U+0100 on.
func nthLetter(n int) rune {
	switch {
	case n < 26:
		return 'a' + rune(n)
	case n < 52:
		return 'A' + rune(n-26)
	}
	return 0x100 + rune(n-52)
}
