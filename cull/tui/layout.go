package tui

import "garner/preview/term"

const (
	minWidth, minHeight = 40, 12 // below that there is no room for a picture
	bottomRows          = 2      // ribbon; notice and pace
	tallFrom            = 20     // rows from which on a later pass's question is shown large
)

// rect is a part of the screen in cells.
type rect struct{ col, row, cols, rows int }

// areas is where everything goes. The last column of the rows with the picture
// stays empty: what the renderer does at the end of a line would hit the cell
// before it.
type areas struct {
	width, height int
	top           int // rows of the top line
	side          rect
	picture       rect
	ladder        rect
	small         bool // too small for a picture
}

// arrange divides a screen. It depends on nothing else.
func arrange(width, height int, question, side, ladder bool) areas {
	a := areas{width: width, height: height, top: 1}
	if width < minWidth || height < minHeight {
		a.small = true
		return a
	}
	if question && height >= tallFrom {
		a.top = 3
	}
	rows := height - a.top - bottomRows
	left, right := 0, width-1
	if side {
		w := min(max(34, width/3), 60)
		a.side = rect{0, a.top, w, rows}
		left = w + 1
	}
	if ladder {
		w := 20
		switch { // the words of marks want room: "closed 1", "eyes closed 1"
		case width >= 140:
			w = 30
		case width >= 110:
			w = 26
		}
		a.ladder = rect{right - w, a.top, w, rows}
		right -= w + 1
	}
	a.picture = rect{left, a.top, max(1, right-left), rows}
	return a
}

func (r rect) area() term.Area { return term.Area{Col: r.col, Row: r.row, Cols: r.cols, Rows: r.rows} }
