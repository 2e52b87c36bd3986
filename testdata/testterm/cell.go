package testterm

import "strings"

// Cell is one place of the grid.
type Cell struct {
	// Rune is the character with what combines onto it. It is " " where
	// nothing is written and "" in the right half of a wide character.
	Rune string

	FG, BG    Colour
	Line      Colour // of the underline
	Bold      bool
	Dim       bool
	Italic    bool
	Underline bool
	Blink     bool
	Reverse   bool
	Hidden    bool
	Strike    bool
	Overline  bool
}

// blank is an erased cell: it takes the pen's background and nothing else
// (xterm ctlseqs, "background color erase").
func blank(pen Cell) Cell { return Cell{Rune: " ", BG: pen.BG} }

// style is the cell without its text, for comparing.
func (c Cell) style() Cell {
	c.Rune = ""
	return c
}

// Style says the attributes in words, "" where there are none.
func (c Cell) Style() string {
	var words []string
	for _, a := range []struct {
		on   bool
		name string
	}{
		{c.Bold, "bold"}, {c.Dim, "dim"}, {c.Italic, "italic"}, {c.Underline, "underline"}, {c.Blink, "blink"},
		{c.Reverse, "reverse"}, {c.Hidden, "hidden"}, {c.Strike, "strike"}, {c.Overline, "overline"},
		{!c.FG.IsDefault(), "fg " + c.FG.String()}, {!c.BG.IsDefault(), "bg " + c.BG.String()},
		{!c.Line.IsDefault(), "line " + c.Line.String()},
	} {
		if a.on {
			words = append(words, a.name)
		}
	}
	return strings.Join(words, ", ")
}
