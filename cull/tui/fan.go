package tui

import (
	"math"

	"garner/cull/station"
	"garner/cull/tui/pane"
	"garner/preview/term"
)

// fanHead is how many rows the heading of a fan takes.
const fanHead = 1

// fitFan tells the desk where a fan would stand: in the place of the picture and the
// ladder.
func (m *Model) fitFan() {
	r := m.arranged(false).picture.below(fanHead)
	m.desk.SetFan(station.FanArea{Cols: r.cols, Rows: r.rows, Pixels: m.pictures.size(r.area()), CellShape: m.pictures.cellShape()})
}

// cellShape is the height of a cell in parts of its width.
func (p *pictures) cellShape() float64 {
	if c := p.caps; c.CellWidth > 0 && c.CellHeight > 0 {
		return c.CellHeight / c.CellWidth
	}
	return 2
}

// below is what is left of a place under some rows.
func (r rect) below(rows int) rect {
	rows = min(rows, r.rows)
	return rect{r.col, r.row + rows, r.cols, r.rows - rows}
}

// tileRect is where the picture of a tile stands on the screen.
func tileRect(t station.Tiling, i int, picture rect) rect {
	at := picture.below(fanHead)
	col, row := t.At(i)
	return rect{at.col + col, at.row + row, min(t.Width, at.cols-col), min(t.Height, at.rows-row)}
}

// pictureRect is the part of a tile's place that its picture takes: just above its
// line of text, if others are higher.
func (m *Model) pictureRect(t station.Tile, r rect) rect {
	if p := t.Picture; p != nil && p.Width > 0 {
		rows := int(math.Ceil(float64(r.cols)*float64(p.Height)/float64(p.Width)/m.pictures.cellShape() - 0.05))
		if rows = max(rows, 1); rows < r.rows {
			r.row, r.rows = r.row+r.rows-rows, rows
		}
	}
	return r
}

// pieces are the pictures of a fan. A tile that has none yet only clears its cells;
// what is said of one that cannot be shown stands in the text.
func (m *Model) pieces(s station.Shot, picture rect) []term.Piece {
	pieces := make([]term.Piece, 0, len(s.Tiles))
	for i, t := range s.Tiles {
		if t.Why == "" {
			pieces = append(pieces, term.Piece{Picture: t.Picture, JPEG: t.Source, Area: m.pictureRect(t, tileRect(s.Tiling, i, picture)).area(), Look: m.lookOf(t.Answer)})
		}
	}
	return pieces
}

// fanPane is what is said of the fan.
func (m *Model) fanPane() pane.Fan {
	v := m.desk.FanView()
	f := pane.Fan{Pass: m.desk.Pass().Name, Kind: v.Kind, Series: v.Series, Whole: v.Whole, Alike: v.Alike, From: v.From, Total: v.Total, Counts: v.Counts}
	if !v.Whole && v.Alike == 0 {
		f.Why = m.desk.WhyOfMoment()
	}
	place, shown := m.at.picture.below(fanHead), m.desk.Shot().Tiles
	for i, t := range v.Tiles {
		r := m.pictureRect(shown[i], tileRect(v.Tiling, i, m.at.picture))
		f.Tiles = append(f.Tiles, pane.Tile{Rung: rung(t.Rung), Col: r.col - place.col, Row: r.row - place.row, Cols: r.cols, Rows: r.rows,
			Picture: t.Why == "", Waiting: t.Waiting, Why: t.Why, NotNear: t.NotNear != "", Moment: t.Moment, At: t.At.Wall, Of: t.Of})
	}
	return f
}

// rung is a frame of a moment as a pane shows it.
func rung(r station.Rung) pane.Rung {
	return pane.Rung{Name: r.Name, Answer: r.Decision.Answer, Explicit: r.Decision.Explicit, Here: r.Here,
		Seen: r.Drawn, Broken: r.Broken, After: r.After, Body: r.Letter, Marks: marks(r.Marks)}
}

// fanLines are the rows of the picture's place in the fan.
func (m *Model) fanLines(r rect) []string { return m.fanPane().Lines(m.styles, r.cols, r.rows) }

// coarse says once that half blocks show little of a tile.
func (m *Model) coarse() {
	if m.coarsely || m.pictures.pixels() || m.pictures.probing {
		return
	}
	m.coarsely, m.judged = true, true
	m.desk.Remark("half blocks show tiles coarsely: what is in a frame, not which one is best")
}

// noFan says why the fan cannot be opened; "" = it can.
func (m *Model) noFan() string {
	if _, ok := m.desk.Here(); !ok {
		return "there is no frame"
	}
	return ""
}
