package testterm

import (
	"fmt"
	"image"
)

// maxSide bounds a grid, so that a resize cannot ask for the whole memory.
const maxSide = 2000

// Grid is a terminal's screen.
type Grid struct {
	cols, rows int
	cell       image.Point // pixels of one cell
	screens    [2]screen   // the normal and the alternate one
	alt        bool
	cursor     cursor
	modes      map[int]bool
	shape      int  // DECSCUSR
	keypad     bool // DECKPAM
	title      string
	tabs       map[int]bool
	last       image.Point // the cell that a combining character joins
	lastOK     bool
	parser     parser
	loading    transmission
	media      mediaReader
	complaints []string

	answerer  Answerer
	send      func(Answer)
	enveloped bool // inside of a tmux passthrough

	// OnString is called with every control string, when it ends. The bytes
	// are valid until it returns.
	OnString func(kind StringKind, data []byte)
}

// cursor is the active position and what belongs to it. The pen is a cell
// without text.
type cursor struct {
	row, col int
	pending  bool // the last column is written, the next character wraps
	pen      Cell
}

// screen is what the normal and the alternate screen have each for themselves.
type screen struct {
	lines       [][]Cell
	saved       cursor
	top, bottom int // margins, inclusive
	keys        []int
	images      *imageStore
}

// New makes a screen of that size with the cursor at home.
func New(cols, rows int) *Grid {
	g := &Grid{cols: clamp(cols, 1, maxSide), rows: clamp(rows, 1, maxSide), cell: image.Pt(10, 20), media: readMedium}
	g.parser.to = g
	g.reset()
	return g
}

// reset is RIS: the state after power on.
func (g *Grid) reset() {
	g.alt = false
	g.cursor = cursor{}
	g.modes = map[int]bool{modeWrap: true, modeCursor: true}
	g.shape, g.keypad, g.title, g.lastOK = 0, false, "", false
	g.tabs = map[int]bool{}
	for c := 8; c < maxSide; c += 8 {
		g.tabs[c] = true
	}
	g.loading = transmission{}
	for i := range g.screens {
		g.screens[i] = screen{lines: make([][]Cell, g.rows), bottom: g.rows - 1, images: newImageStore()}
		for r := range g.screens[i].lines {
			g.screens[i].lines[r] = blankLine(g.cols, Cell{})
		}
	}
}

// Write takes a program's output. It never fails.
func (g *Grid) Write(b []byte) (int, error) {
	g.parser.write(b)
	return len(b), nil
}

// Size returns columns and rows.
func (g *Grid) Size() (cols, rows int) { return g.cols, g.rows }

// Cursor returns the active position, counted from 0, and whether it shows.
func (g *Grid) Cursor() (col, row int, visible bool) {
	return g.cursor.col, g.cursor.row, g.modes[modeCursor]
}

// Cell returns the cell of a place counted from 0; outside it is the zero Cell.
func (g *Grid) Cell(col, row int) Cell {
	if col < 0 || col >= g.cols || row < 0 || row >= g.rows {
		return Cell{}
	}
	return g.scr().lines[row][col]
}

// Title is the window's title as OSC 0 or 2 set it.
func (g *Grid) Title() string { return g.title }

// Alternate reports whether the alternate screen shows.
func (g *Grid) Alternate() bool { return g.alt }

// Mode reports a private mode (DECSET), as 2026 for a synchronised update.
func (g *Grid) Mode(n int) bool { return g.modes[n] }

// Complaints lists what the program wrote that no terminal promises to
// understand, or that this one does not know; at most a hundred.
func (g *Grid) Complaints() []string { return g.complaints }

func (g *Grid) complain(format string, args ...any) {
	if len(g.complaints) < 100 {
		g.complaints = append(g.complaints, fmt.Sprintf(format, args...))
	}
}

func (g *Grid) scr() *screen {
	if g.alt {
		return &g.screens[1]
	}
	return &g.screens[0]
}

// Resize changes the size as terminals do that don't reflow: lines are cut or
// filled at the right; on the normal screen lines leave at the top while the
// cursor would be below the end. Margins are the whole screen again.
func (g *Grid) Resize(cols, rows int) {
	cols, rows = clamp(cols, 1, maxSide), clamp(rows, 1, maxSide)
	shift := max(0, g.cursor.row-rows+1)
	for i := range g.screens {
		s := &g.screens[i]
		if i == 0 && !g.alt {
			s.lines = s.lines[min(shift, len(s.lines)):]
			s.images.scroll(0, g.rows-1, shift)
		}
		lines := make([][]Cell, rows)
		for r := range lines {
			lines[r] = blankLine(cols, Cell{})
			if r < len(s.lines) {
				copy(lines[r], s.lines[r])
				mendEnd(lines[r])
			}
		}
		s.lines, s.top, s.bottom = lines, 0, rows-1
		s.saved.row, s.saved.col = min(s.saved.row, rows-1), min(s.saved.col, cols-1)
	}
	if !g.alt {
		g.cursor.row -= shift
	}
	g.cols, g.rows = cols, rows
	g.cursor.row, g.cursor.col = min(g.cursor.row, rows-1), min(g.cursor.col, cols-1)
	g.cursor.pending, g.lastOK = false, false
}

func blankLine(cols int, pen Cell) []Cell {
	line := make([]Cell, cols)
	for i := range line {
		line[i] = blank(pen)
	}
	return line
}

func clamp(n, low, high int) int { return max(low, min(n, high)) }
