package testterm

import (
	"errors"
	"fmt"
)

// Clean says what is not as a program should leave a terminal, everything in
// one error; nil means that the next program finds nothing of the last one.
func (g *Grid) Clean() error {
	var wrong []error
	add := func(bad bool, format string, args ...any) {
		if bad {
			wrong = append(wrong, fmt.Errorf(format, args...))
		}
	}
	add(g.parser.state != ground || len(g.parser.part) > 0, "an unfinished sequence or character")
	add(g.alt, "alternate screen still on")
	add(!g.modes[modeCursor], "cursor hidden")
	add(!g.modes[modeWrap], "no wrapping at the line's end")
	add(g.cursor.pen != Cell{}, "rendition not reset: %s", g.cursor.pen.Style())
	add(g.shape > 1, "cursor shape %d", g.shape)
	add(g.keypad, "keypad in application mode")
	for _, n := range []int{modeCursorKeys, 1000, 1002, 1003, modeFocus, 1005, 1006, 1015, 1016, modePaste, modeSync, 2027, 2031, 2048} {
		add(g.modes[n], "private mode %d still on%s", n, modeName(n))
	}
	for i, name := range []string{"normal", "alternate"} {
		s := &g.screens[i]
		add(len(s.keys) > 0, "keyboard flags not popped on the %s screen: %v", name, s.keys)
		add(s.top != 0 || s.bottom != g.rows-1, "margins set on the %s screen", name)
		for _, im := range s.images.list() {
			wrong = append(wrong, fmt.Errorf("image %d left on the %s screen, %d placements", im.ID, name, len(im.Placements)))
		}
	}
	add(g.loading.active, "a picture's transmission not finished")
	return errors.Join(wrong...)
}

func modeName(n int) string {
	switch n {
	case modeCursorKeys:
		return " (application cursor keys)"
	case modeFocus:
		return " (focus reports)"
	case modePaste:
		return " (bracketed paste)"
	case modeSync:
		return " (synchronised update)"
	case 1000, 1002, 1003:
		return " (mouse)"
	}
	return ""
}
