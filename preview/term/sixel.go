package term

import (
	"math"
	"strings"

	"garner/preview/term/sixel"
)

// sixels shows pictures as sixels. They are drawn into the cells that are there:
// what is written over them later takes them away, cell by cell, and no store is
// kept.
type sixels struct {
	colours    int // registers that are used
	maxW, maxH int // pixels of a drawing
	last       int // so many drawings the terminal keeps, the last ones; 0 = all
	xterm      bool
}

// drawing is a part of a picture, in a control string of its own.
type drawing struct {
	col, row int // of its first cell, in the picture's
	end      int // of its bytes in the load
}

const (
	// xtermKeeps is how many drawings xterm (patch 379) can paint again when
	// its window was covered.
	xtermKeeps = 16
	// tmux 3.4 takes a control string of up to 1 MiB in, and keeps 20 pictures
	// (input.c, image.c). A pixel is at most 1.3 bytes of a photograph.
	tmuxKeeps = 20
	tmuxEdge  = 800
)

// newSixels goes by what the terminal said. More than 256 colours are not asked
// for: 1024 are a half more bytes, which take as much longer to be drawn, for
// 2 dB that nobody sees.
func newSixels(c Caps) *sixels {
	x := &sixels{colours: sixel.Typical, maxW: sixel.MaxEdge, maxH: sixel.MaxEdge}
	if c.SixelColours > 1 {
		x.colours = min(c.SixelColours, x.colours)
	}
	if c.SixelWidth > 0 && c.SixelHeight > 0 {
		x.maxW, x.maxH = min(c.SixelWidth, x.maxW), min(c.SixelHeight, x.maxH)
	}
	switch {
	case c.Tmux:
		x.last, x.maxW, x.maxH = tmuxKeeps, min(x.maxW, tmuxEdge), min(x.maxH, tmuxEdge)
	case strings.HasPrefix(c.Name, "XTerm"):
		x.last, x.xterm = xtermKeeps, true
	}
	return x
}

func (x *sixels) grid(w, h float64) grid { return grid{w, h, 1, 1, 1} }

func (x *sixels) prepare(e *easel, s *sheet) (load, error) {
	pix := e.rgba(s.picture, s.layout, s.look)
	if e.stopped() {
		return load{}, errStopped
	}
	return x.draw(e, pix, s.layout, false), nil
}

// draw draws a canvas, in parts of whole cells that are not too large for the
// terminal.
func (x *sixels) draw(e *easel, pix []byte, l layout, holes bool) load {
	if e.sixel == nil {
		e.sixel = &sixel.Encoder{}
	}
	picture := func(x0, y0, x1, y1 int) sixel.Picture {
		left, top := max(l.x-x0, 0), max(l.y-y0, 0)
		x0, y0 = x0+left, y0+top
		return sixel.Picture{Pix: pix[(y0*l.w+x0)*4:], Stride: l.w * 4, Left: left, Top: top,
			Width: min(l.x+l.pw, x1) - x0, Height: min(l.y+l.ph, y1) - y0, Holes: holes}
	}
	var out load
	if !e.sixel.Choose(picture(0, 0, l.w, l.h), sixel.Options{Colours: x.colours}) {
		return out
	}
	w, h := float64(l.w)/float64(l.cols), float64(l.h)/float64(l.rows)
	cols, rows := x.part(l)
	e.out = e.out[:0]
	for row := 0; row < l.rows; row += rows {
		for col := 0; col < l.cols; col += cols {
			e.out = e.sixel.Draw(e.out, picture(round(float64(col)*w), round(float64(row)*h),
				round(float64(min(col+cols, l.cols))*w), round(float64(min(row+rows, l.rows))*h)))
			out.parts = append(out.parts, drawing{col, row, len(e.out)})
		}
	}
	out.data = append(make([]byte, 0, len(e.out)), e.out...)
	out.size = int64(len(out.data))
	return out
}

// part is how many cells the parts of a canvas have.
func (x *sixels) part(l layout) (cols, rows int) {
	return partOf(x.maxW, float64(l.w)/float64(l.cols), l.cols), partOf(x.maxH, float64(l.h)/float64(l.rows), l.rows)
}

// partOf cuts n cells into parts of the same size as far as can be, none of more
// than so many pixels, and returns how many cells each has.
func partOf(most int, cell float64, n int) int {
	fit := max(int(math.Floor(float64(most)/cell+1e-6)), 1)
	parts := (n + fit - 1) / fit
	return (n + parts - 1) / parts
}

func (x *sixels) show(o *ink, s *sheet, at spot) {
	at.clearAround(o, s.layout)
	o.drawings(s.load, at.cells)
}

func (x *sixels) keeps() int { return x.last }

// flush draws as much of nothing as xterm keeps drawings.
func (x *sixels) flush(o *ink) int {
	if !x.xterm {
		return 0
	}
	for range x.last {
		o.move(0, 0) // each may move the cursor on, and must not do so at the end
		o.text("\x1bP9;1q\"1;1;1;1#0?\x1b\\")
	}
	return x.last
}

func (x *sixels) parts(l layout) int {
	cols, rows := x.part(l)
	return (l.cols + cols - 1) / cols * ((l.rows + rows - 1) / rows)
}

// together draws the pictures on one canvas, with holes between them.
func (x *sixels) together(e *easel, g grid, all Area, pictures []placed) load {
	l := layout{cols: all.Cols, rows: all.Rows, w: round(float64(all.Cols) * g.w), h: round(float64(all.Rows) * g.h)}
	l.pw, l.ph = l.w, l.h
	canvas := make([]byte, l.w*l.h*4)
	for _, p := range pictures {
		pix := e.rgba(p.picture, p.layout, p.look)
		left, top := round(float64(p.cells.Col-all.Col)*g.w)+p.x, round(float64(p.cells.Row-all.Row)*g.h)+p.y
		w := min(p.pw, l.w-left) * 4
		for y := range min(p.ph, l.h-top) {
			copy(canvas[((top+y)*l.w+left)*4:][:w], pix[((p.y+y)*p.w+p.x)*4:])
		}
	}
	return x.draw(e, canvas, l, true)
}

// drawings writes the parts of a load, each from its own cell.
func (o *ink) drawings(l load, at Area) {
	from := 0
	for _, d := range l.parts {
		o.move(at.Col+d.col, at.Row+d.row)
		o.out = append(o.out, l.data[from:d.end]...)
		from = d.end
	}
}
