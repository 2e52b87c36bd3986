package sixel

import (
	"bytes"
	"strconv"
)

// Limits of a picture and of its colours.
const (
	MaxEdge    = 8192 // pixels a side; terminals show less
	MaxColours = 1024 // registers; no terminal is known to have more
	Typical    = 256  // registers that most terminals have
)

// Picture is what is to be drawn.
type Picture struct {
	// Pix holds the rows from the top, four bytes a pixel: red, green, blue,
	// and one that is not looked at.
	Pix           []byte
	Width, Height int
	Stride        int // bytes from one row to the next
	// Left and Top are pixels from the cursor's cell that are left as they are
	// on the screen, so that the picture may begin inside of the cell.
	Left, Top int
	// Holes says that pixels whose fourth byte is 0 are left as they are too.
	Holes bool
}

// valid reports whether all pixels lie inside Pix.
func (p *Picture) valid() bool {
	for _, edge := range [...]int{p.Width, p.Height, p.Left + 1, p.Top + 1} {
		if edge < 1 || edge > MaxEdge {
			return false
		}
	}
	row := p.Width * 4
	return p.Stride >= row && len(p.Pix) >= row && (len(p.Pix)-row)/p.Stride >= p.Height-1
}

// Options may be left empty.
type Options struct {
	Colours int  // registers that the terminal has, from 2; 0 = Typical
	Flat    bool // no dithering: up to a fifth fewer bytes, and steps in what should be smooth
}

// Encoder draws pictures. Its zero value is ready; it keeps its buffers, and is
// not for use from several goroutines at a time.
type Encoder struct {
	palette palette
	table   table
	band    band
	noise   noise
}

// Append appends the whole control string of a picture to dst. A picture that
// is not valid appends nothing.
//
// It is drawn from the cursor's place. Pixels that are left out keep what is on
// the screen. There is no graphics new line after the last band, so that
// nothing scrolls as long as the picture ends above the last line of text.
func (e *Encoder) Append(dst []byte, p Picture, o Options) []byte {
	if e.Choose(p, o) {
		dst = e.Draw(dst, p)
	}
	return dst
}

// Choose chooses the colours for a picture, which Draw may then draw in parts,
// each a control string of its own. It reports whether the picture is valid.
func (e *Encoder) Choose(p Picture, o Options) bool {
	if !p.valid() {
		return false
	}
	n := o.Colours
	if n <= 0 {
		n = Typical
	}
	e.palette.choose(&p, min(max(n, 2), MaxColours))
	spread := 0
	if !o.Flat {
		spread = e.palette.spread()
	}
	e.noise.set(spread)
	return true
}

// Draw is Append in the colours that were chosen last, nothing if none were.
func (e *Encoder) Draw(dst []byte, p Picture) []byte {
	if !p.valid() || len(e.palette.rgb) == 0 {
		return dst
	}
	e.table.reset(&e.palette, e.noise.spread, p.Width+1)
	e.band.size(&p, len(e.palette.rgb))
	dst = e.begin(dst, &p)
	for y := 0; y < p.Height; {
		// The band's first row of the picture may be below its top.
		first := (p.Top + y) % 6
		rows := min(6-first, p.Height-y)
		if y > 0 {
			dst = append(dst, '-')
		}
		e.band.pick(&e.table, &e.noise, &p, y, rows)
		dst = e.band.draw(dst, first, rows)
		y += rows
	}
	// Bands of holes at the end say nothing.
	return append(bytes.TrimRight(dst, "-"), "\x1b\\"...)
}

// begin writes all that comes before the first band: the device control string
// with square pixels (P1 = 9) and pixels of value 0 left as they are (P2 = 1),
// the raster attributes (square again, and the size), the colours ("Color
// Introducer": red, green, blue in percent), and the bands that are left out.
func (e *Encoder) begin(dst []byte, p *Picture) []byte {
	dst = append(dst, "\x1bP9;1q\"1;1;"...)
	dst = strconv.AppendInt(dst, int64(p.Left+p.Width), 10)
	dst = append(dst, ';')
	dst = strconv.AppendInt(dst, int64(p.Top+p.Height), 10)
	for i, c := range e.palette.percent {
		dst = append(dst, '#')
		dst = strconv.AppendInt(dst, int64(i), 10)
		dst = append(dst, ";2"...)
		for _, v := range c {
			dst = append(dst, ';')
			dst = strconv.AppendInt(dst, int64(v), 10)
		}
	}
	for range p.Top / 6 {
		dst = append(dst, '-')
	}
	return dst
}
