package term

import (
	"sync"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// rgba returns the canvas of a layout, four bytes a pixel: the picture scaled to
// its rectangle, and clear pixels round it. It is valid until the next call.
func (e *easel) rgba(m *jpeg.Image, at layout, l Look) []byte {
	m = pix.ResizeInto(&e.scaled, m, at.pw, at.ph)
	n := at.w * at.h * 4
	if cap(e.pixels) < n {
		e.pixels = make([]byte, n)
	}
	out := e.pixels[:n]
	if !at.fullCanvas() {
		clear(out)
	}
	t := newTables(l)
	if bands := min(e.cores, at.ph/minBand); bands > 1 {
		var all sync.WaitGroup
		for i := range bands {
			all.Go(func() { t.rows(out, m, at, i*at.ph/bands, (i+1)*at.ph/bands) })
		}
		all.Wait()
	} else {
		t.rows(out, m, at, 0, at.ph)
	}
	if l.Dim {
		strike(out, at)
	}
	return out
}

// minBand is how many rows are worth a goroutine.
const minBand = 64

// rows converts rows of the picture onto the canvas.
func (t *tables) rows(out []byte, m *jpeg.Image, at layout, from, to int) {
	for row := from; row < to; row++ {
		dst := out[((at.y+row)*at.w+at.x)*4:][:at.pw*4]
		luma := m.Y[row*m.YStride:][:at.pw]
		if m.Grey() {
			t.grey(dst, luma)
			continue
		}
		c := row / m.SubY * m.CStride
		w := (at.pw + m.SubX - 1) / m.SubX
		t.colour(dst, luma, m.Cb[c:][:w], m.Cr[c:][:w], m.SubX)
	}
}

// strike draws a line from the lower left to the upper right corner of the
// picture: light, between dark edges, so that it stands out on anything.
func strike(out []byte, at layout) {
	s := newStroke(at.pw, at.ph)
	for row := range at.ph {
		line := out[((at.y+row)*at.w+at.x)*4:]
		s.row(row, func(x int, v byte) { line[4*x], line[4*x+1], line[4*x+2] = v, v, v })
	}
}

// stroke is the line through a picture of w by h pixels.
type stroke struct{ w, h, thick, edge int }

func newStroke(w, h int) stroke {
	s := stroke{w: w, h: h, thick: max(min(w, h)/150, 1)} // half of the line
	if s.thick > 1 {
		s.edge = s.thick
	}
	return s
}

// row draws the line's stretch on a row: its pixels and their brightness.
func (s stroke) row(y int, draw func(x int, v byte)) {
	from, to := (s.h-1-y)*s.w/s.h-s.thick, (s.h-y)*s.w/s.h+s.thick
	for x := max(from-s.edge, 0); x < min(to+s.edge, s.w); x++ {
		v := byte(200)
		if x < from || x >= to {
			v = 0
		}
		draw(x, v)
	}
}
