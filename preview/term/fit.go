package term

import (
	"math"

	"garner/preview/jpeg"
)

// Area is a rectangle of cells, counted from 0.
type Area struct{ Col, Row, Cols, Rows int }

// Limits of what is painted, far above what any screen has.
const (
	maxCells = 2048
	maxEdge  = 8192 // pixels; terminals refuse pictures above 10,000
	maxRows  = 297  // that placeholders can number
)

// within is what of a lies in b.
func (a Area) within(b Area) Area {
	right, low := min(a.Col+a.Cols, b.Col+b.Cols), min(a.Row+a.Rows, b.Row+b.Rows)
	a.Col, a.Row = max(a.Col, b.Col), max(a.Row, b.Row)
	a.Cols, a.Rows = max(right-a.Col, 0), max(low-a.Row, 0)
	return a
}

func (p *Painter) clip(a Area) Area {
	a.Col, a.Row = min(max(a.Col, 0), maxCells), min(max(a.Row, 0), maxCells)
	a.Cols, a.Rows = min(max(a.Cols, 0), maxCells), min(max(a.Rows, 0), maxCells)
	if p.o.Columns > 0 {
		a.Cols = max(min(a.Cols, p.o.Columns-1-a.Col), 0)
	}
	if p.mode == KittyCells {
		a.Rows = min(a.Rows, maxRows)
	}
	return a
}

// grid is the way's on this terminal.
func (p *Painter) grid() grid {
	w, h := p.c.CellWidth, p.c.CellHeight
	if !(w >= 1 && w <= 500 && h >= 1 && h <= 500) {
		w, h = 10, 20
	}
	return p.way.grid(w, h)
}

// Pixels returns the size of picture that is worth making for the area.
func (p *Painter) Pixels(a Area) (w, h int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.pixels(p.clip(a))
}

func (p *Painter) pixels(a Area) (w, h int) {
	g := p.grid()
	fw, fh := float64(a.Cols)*g.w, float64(a.Rows)*g.h
	less := min(1, maxEdge/max(fw, fh, 1)) // the terminal enlarges it
	return round(fw * less), round(fh * less)
}

func round(f float64) int { return int(math.Round(f)) }

// layout is how a picture lies in its area, wherever that is: the cells that it
// touches, their size in pixels, and the picture's own rectangle inside. It can
// be compared.
type layout struct {
	cols, rows int // cells
	w, h       int // canvas
	x, y       int // picture
	pw, ph     int
}

// fullCanvas reports whether the picture covers the canvas.
func (l layout) fullCanvas() bool { return l.w == l.pw && l.h == l.ph }

// in returns the cells of the layout in the middle of an area.
func (l layout) in(a Area) Area {
	return Area{a.Col + (a.Cols-l.cols)/2, a.Row + (a.Rows-l.rows)/2, l.cols, l.rows}
}

// fit keeps the picture's shape and makes it as large as the area lets it be.
func (p *Painter) fit(m *jpeg.Image, a Area) layout {
	g := p.grid()
	w, h := p.pixels(a)
	// The screen's shape of the picture in this grid's pixels.
	shape := float64(m.Width) / float64(m.Height) / g.aspect
	l := layout{pw: w, ph: h}
	if float64(w) > float64(h)*shape {
		l.pw = max(round(float64(h)*shape), 1)
	} else {
		l.ph = max(round(float64(w)/shape), 1)
	}
	l.pw = min((l.pw+g.stepX-1)/g.stepX*g.stepX, w)
	l.ph = min((l.ph+g.stepY-1)/g.stepY*g.stepY, h)
	scaleX, scaleY := float64(w)/float64(a.Cols), float64(h)/float64(a.Rows)
	l.cols = min(int(math.Ceil(float64(l.pw)/scaleX-1e-6)), a.Cols)
	l.rows = min(int(math.Ceil(float64(l.ph)/scaleY-1e-6)), a.Rows)
	l.w, l.h = max(round(float64(l.cols)*scaleX), l.pw), max(round(float64(l.rows)*scaleY), l.ph)
	l.x, l.y = (l.w-l.pw)/2, (l.h-l.ph)/2
	return l
}
