package timeline

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"
)

// The least size of a drawing in a terminal.
const (
	minWidth  = 40
	minHeight = 10
	gutter    = 7 // columns for the scales at the left
)

// Text draws a day with characters: lines of at most width cells, at most height
// of them, or as few as make sense. Without colour it says the same.
func (d Day) Text(width, height int, colour bool) []string {
	width, height = max(width, minWidth), max(height, minHeight)
	c := row{chart: newChart(d, width-gutter-1), cells: width - gutter - 1}
	p := pens{colour}
	if len(c.axis.parts) == 0 {
		return []string{p.strong(cut(c.title(), width)), cut(c.summary(), width)}
	}
	n := c.total[kept] + c.total[dropped] + c.total[open]
	legend := fmt.Sprintf("%d frames  %s %d kept  %s %d dropped  %s %d open", n, p.kept("█"), c.total[kept], p.dropped("▒"), c.total[dropped], p.open(openCell), c.total[open])
	if c.untime > 0 {
		legend += fmt.Sprintf("  %d without a time", c.untime)
	}
	lines := []string{p.strong(cut(c.title(), width)), cut(legend, width), ""}
	bodies := min(len(d.Bodies), 4)
	if len(d.Bodies) < 2 {
		bodies = 0
	}
	light := 0
	rows := height - len(lines) - 3 // hours and two of scenes
	if c.light && rows >= 8 {
		light = max(3, min(7, rows/4))
		rows -= light + 1
	}
	if rows-bodies < 4 {
		bodies = 0
	}
	rows = min(rows-bodies, 24)
	lines = append(lines, c.bars(p, rows)...)
	lines = append(lines, p.quiet(c.hours()))
	lines = append(lines, c.sceneRows(p)...)
	if light > 0 {
		lines = append(lines, c.curve(p, light)...)
	}
	return append(lines, c.bodyRows(p, bodies)...)
}

// row is a chart on so many cells, which may be more than it has columns.
type row struct {
	*chart
	cells int
}

// bin is what a cell shows.
func (c row) bin(cell int) *bin { return &c.bins[cell*len(c.bins)/c.cells] }

// cell is where a column begins.
func (c row) cell(column float64) int { return int(column * float64(c.cells) / float64(len(c.bins))) }

// pens switch attributes of text on and off.
type pens struct{ colour bool }

func (p pens) paint(on, text string) string {
	if !p.colour || text == "" {
		return text
	}
	return "\x1b[" + on + "m" + text + "\x1b[0m"
}

func (p pens) strong(s string) string  { return p.paint("1", s) }
func (p pens) quiet(s string) string   { return p.paint("2", s) }
func (p pens) kept(s string) string    { return p.paint("1;36", s) }
func (p pens) dropped(s string) string { return p.paint("33", s) }
func (p pens) open(s string) string    { return p.paint("2", s) }
func (p pens) curve(s string) string   { return p.paint("1;33", s) }

// way draws a bar's cells of one kind.
func (p pens) way(w int, s string) string {
	switch w {
	case kept:
		return p.kept(s)
	case dropped:
		return p.dropped(s)
	}
	return p.open(s)
}

// cut shortens a text to so many cells.
func cut(s string, width int) string { return ansi.Truncate(s, width, "…") }

// scale writes a number for the gutter.
func scale(text string) string { return fmt.Sprintf("%*s ", gutter-1, cut(text, gutter-1)) }

// openCell is a cell of a bar of open frames: dots, as in the station's ribbon.
const openCell = "·"

// eighths are cells filled from below.
const eighths = " ▁▂▃▄▅▆▇█"

func eighth(n int) string { return string([]rune(eighths)[max(0, min(8, n))]) }

// bars draws frames a minute, the kept ones at the bottom.
func (c row) bars(p pens, rows int) []string {
	top := nice(c.most)
	out := make([]string, 0, rows)
	for r := rows - 1; r >= 0; r-- {
		label := ""
		switch {
		case r == rows-1:
			label = number(top)
		case r == rows/2 && rows > 4:
			label = "/min"
		}
		var b strings.Builder
		b.WriteString(p.quiet(scale(label)))
		run, kind := "", -1
		flush := func() {
			b.WriteString(p.way(kind, run))
			run = ""
		}
		for i := range c.cells {
			cell, w := c.bin(i).cell(r, float64(rows)/top, c.axis.minutes)
			if w != kind {
				flush()
				kind = w
			}
			run += cell
		}
		flush()
		out = append(out, strings.TrimRight(b.String(), " "))
	}
	return out
}

// cell is what a bar shows in a row from below. A cell is of one kind, the one that
// fills most of it; a bar of a single frame is seen all the same.
func (b *bin) cell(row int, perRate, minutes float64) (string, int) {
	low, high := float64(row), float64(row+1)
	from, best, kind := 0.0, 0.0, open
	var fill [ways]float64
	for w, n := range b.frames {
		to := from + float64(n)/minutes*perRate
		fill[w] = max(0, min(to, high)-max(from, low))
		if fill[w] > best {
			best, kind = fill[w], w
		}
		from = to
	}
	total := fill[kept] + fill[dropped] + fill[open]
	if row == 0 && from > 0 {
		total = max(total, 0.13)
	}
	switch {
	case total <= 0.06:
		return " ", open
	case kind == kept:
		return eighth(int(math.Round(8 * total))), kept
	case total < 0.5 && row > 0: // only what was kept has parts of a cell
		return " ", open
	case kind == dropped:
		return "▒", dropped
	}
	return openCell, open
}

// hours draws the axis.
func (c row) hours() string {
	line := []rune(strings.Repeat(" ", gutter) + strings.Repeat("─", c.cells))
	for i, p := range c.axis.parts {
		if i > 0 {
			for at := gutter + c.cell(p.column-gapColumns); at < gutter+c.cell(p.column) && at < len(line); at++ {
				line[at] = '┄'
			}
		}
	}
	for _, t := range c.axis.ticks(8 * float64(len(c.bins)) / float64(c.cells)) {
		at := gutter + c.cell(t.column)
		for k, r := range "┬" + t.text {
			if k > 0 {
				k -= len("┬") - 1
			}
			if at+k < len(line) {
				line[at+k] = r
			}
		}
	}
	return string(line)
}

// sceneRows write the scenes' names below where they begin, in two rows.
func (c row) sceneRows(p pens) []string {
	rows := [2][]string{}
	var end [2]int
	for i := range rows {
		rows[i] = []string{strings.Repeat(" ", gutter)}
	}
	for i, s := range c.scenes {
		at := c.cell(s.from)
		row := 0
		if at < end[0] && end[1] <= end[0] {
			row = 1
		}
		if at < end[row] {
			continue // no room: the scene is in the rows below and in the other drawings
		}
		room := c.cells - at
		for _, next := range c.scenes[i+1:] {
			// A name may run on as far as the next that needs the row.
			if n := c.cell(next.from); n > at && n-at < room {
				room = max(n-at, min(room, 3))
				break
			}
		}
		if row == 0 && i+1 < len(c.scenes) && c.cell(c.scenes[i+1].from)-at < ansi.StringWidth(s.name)+2 {
			// The other row takes the next name, so that this one may be longer.
			if i+2 < len(c.scenes) {
				room = max(room, c.cell(c.scenes[i+2].from)-at)
			} else {
				room = c.cells - at
			}
		} else if row == 1 {
			room = c.cells - at
			if i+2 < len(c.scenes) {
				room = c.cell(c.scenes[i+2].from) - at
			}
		}
		if room < 2 {
			continue
		}
		name := cut("▏"+s.name, room-1)
		rows[row] = append(rows[row], strings.Repeat(" ", at-end[row]), name)
		end[row] = at + ansi.StringWidth(name)
	}
	var out []string
	for i, r := range rows {
		if i == 0 || len(r) > 1 {
			out = append(out, strings.Join(r, ""))
		}
	}
	return out
}

// curve draws the exposure values of frames without flash; where most had flash it
// has a gap, and a mark at the bottom.
func (c row) curve(p pens, rows int) []string {
	grid := make([][]rune, rows)
	for r := range grid {
		grid[r] = []rune(strings.Repeat(" ", c.cells))
	}
	for i := range c.cells {
		ev, ok := c.bin(i).middle()
		if !ok {
			continue
		}
		y := int(math.Round((ev - c.low) / (c.high - c.low) * float64(2*rows-1)))
		y = max(0, min(2*rows-1, y))
		r := rows - 1 - y/2
		grid[r][i] = '▄'
		if y%2 == 1 {
			grid[r][i] = '▀'
		}
	}
	out := make([]string, 0, rows+1)
	for r := range grid {
		label := ""
		switch r {
		case 0:
			label = "EV " + number(c.high)
		case rows - 1:
			label = "EV " + number(c.low)
		}
		line := p.quiet(scale(label)) + p.curve(strings.TrimRight(string(grid[r]), " "))
		out = append(out, strings.TrimRight(line, " "))
	}
	flash := []rune(strings.Repeat(" ", c.cells))
	any := false
	for i := range c.cells {
		if c.bin(i).flash > 0 {
			flash[i], any = '×', true
		}
	}
	if any {
		out = append(out, p.quiet(scale("flash"))+strings.TrimRight(string(flash), " "))
	}
	return out
}

// bodyRows draw how much each body took.
func (c row) bodyRows(p pens, rows int) []string {
	most := 1
	for i := range c.cells {
		for _, n := range c.bin(i).bodies {
			most = max(most, n)
		}
	}
	var out []string
	for k := range rows {
		var b strings.Builder
		for i := range c.cells {
			n := c.bin(i).bodies[k]
			h := int(math.Round(8 * float64(n) / float64(most)))
			if n > 0 {
				h = max(1, h)
			}
			b.WriteString(eighth(h))
		}
		out = append(out, p.quiet(scale(plain(c.day.Bodies[k])))+strings.TrimRight(b.String(), " "))
	}
	return out
}

// number writes a value of a scale.
func number(v float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0") }
