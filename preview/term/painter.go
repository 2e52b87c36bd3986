package term

import (
	"math"
	"os"
	"strconv"
	"sync"

	"github.com/charmbracelet/x/ansi"

	"garner/preview/jpeg"
)

// Area is a rectangle of cells, counted from 0.
type Area struct{ Col, Row, Cols, Rows int }

// Look says how a picture is to look.
type Look struct {
	// Dim is darker, with one line struck through the picture, so that it is
	// not told by colour alone.
	Dim bool
}

// PainterOptions may be left empty.
type PainterOptions struct {
	TmpDir    string // where temporary files go; os.TempDir
	Colors256 bool   // no 24-bit colours, whatever the terminal says
	// Columns is the width of the terminal, if known: its last column is
	// never written.
	Columns int
	// FirstID is the first of the two picture ids for KittyCells, from 1 to
	// 254; 0 takes one by the process, so that two programs in panes of one
	// terminal seldom meet.
	FirstID int
}

// Limits of what is painted, far above what any screen has.
const (
	maxCells = 2048
	maxEdge  = 8192 // pixels; terminals refuse pictures above 10,000
	maxRows  = 297  // that placeholders can number
)

// Painter makes the bytes that show pictures, and owns their ids and files. One
// picture is shown at a time. Calls come one after the other; what they return
// must be written in that order, so when shots go through a Screen, whose
// newest wins, all of them belong into the Build of a Shot but Close.
type Painter struct {
	mu     sync.Mutex
	c      Caps
	mode   Mode
	o      PainterOptions
	shmDir string

	id     [2]int // the ids that take turns
	turn   int    // which of them is next
	placed [2]bool
	files  []string // not known to be taken by the terminal

	scaled jpeg.Image
	pixels []byte
	packer packer
	base64 []byte
	out    []byte
	wrap   []byte
	colour *palette    // nil: 24 bits
	digits [256]string // decimal numbers
	half   []int32     // colours of the half cells
}

// NewPainter returns a painter for a terminal in a mode.
func NewPainter(c Caps, m Mode, o PainterOptions) *Painter {
	p := &Painter{c: c, mode: m, o: o, shmDir: sharedDir}
	switch m {
	case KittyCells:
		if o.FirstID < 1 || o.FirstID > 254 {
			o.FirstID = 1 + os.Getpid()*2%254
		}
		p.id = [2]int{o.FirstID, o.FirstID + 1}
	default:
		first := 0x6e600000 | os.Getpid()&0x7fff<<1
		p.id = [2]int{first, first + 1}
	}
	// A painter before this one may have left its pictures: the first turn
	// takes them away.
	p.placed = [2]bool{m != Blocks, m != Blocks}
	for i := range p.digits {
		p.digits[i] = strconv.Itoa(i)
	}
	if o.Colors256 || !c.TrueColor {
		p.colour = newPalette()
	}
	return p
}

// cell returns the size of a cell in pixels of the pictures that are made for
// the mode, and of a pixel's width to its height.
func (p *Painter) cell() (w, h, aspect float64) {
	w, h = p.c.CellWidth, p.c.CellHeight
	if !(w >= 1 && w <= 500 && h >= 1 && h <= 500) {
		w, h = 10, 20
	}
	if p.mode == Blocks {
		return 1, 2, w / (h / 2)
	}
	return w, h, 1
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

// Pixels returns the size of picture that is worth making for the area.
func (p *Painter) Pixels(a Area) (w, h int) {
	a = p.clip(a)
	cw, ch, _ := p.cell()
	fw, fh := float64(a.Cols)*cw, float64(a.Rows)*ch
	less := min(1, maxEdge/max(fw, fh, 1)) // the terminal enlarges it
	return round(fw * less), round(fh * less)
}

func round(f float64) int { return int(math.Round(f)) }

// place is where in an area a picture comes to lie: the cells that it touches,
// their size in pixels, and the picture's own rectangle inside.
type place struct {
	Area
	w, h       int // canvas
	x, y       int // picture
	pw, ph     int
	fullCanvas bool // the picture covers it
}

// fit keeps the picture's shape and puts it in the middle.
func (p *Painter) fit(m *jpeg.Image, a Area) place {
	_, _, aspect := p.cell()
	w, h := p.Pixels(a)
	// The screen's shape of the picture in this mode's pixels.
	shape := float64(m.Width) / float64(m.Height) / aspect
	pw, ph := w, h
	if float64(w) > float64(h)*shape {
		pw = min(max(round(float64(h)*shape), 1), w)
	} else {
		ph = min(max(round(float64(w)/shape), 1), h)
	}
	if p.mode == Blocks {
		ph += ph & 1 // no half cell is left over
	}
	scaleX, scaleY := float64(w)/float64(a.Cols), float64(h)/float64(a.Rows)
	l := place{pw: pw, ph: ph}
	l.Cols = min(int(math.Ceil(float64(pw)/scaleX-1e-6)), a.Cols)
	l.Rows = min(int(math.Ceil(float64(ph)/scaleY-1e-6)), a.Rows)
	l.Col, l.Row = a.Col+(a.Cols-l.Cols)/2, a.Row+(a.Rows-l.Rows)/2
	l.w, l.h = max(round(float64(l.Cols)*scaleX), pw), max(round(float64(l.Rows)*scaleY), ph)
	l.x, l.y = (l.w-pw)/2, (l.h-ph)/2
	l.fullCanvas = l.w == pw && l.h == ph
	return l
}

// Paint shows a picture in the area, as large as it fits in its shape, in place
// of the one before; the rest of the area is cleared. Cells outside the area are
// never touched, not even those of a larger area before: text may stand there by
// the time that the bytes are written. What it returns is valid until the next
// call of Paint, Text or Wipe. A picture that is not valid only clears.
func (p *Painter) Paint(m *jpeg.Image, a Area, l Look) []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	a = p.clip(a)
	if !m.Valid() || a.Cols == 0 || a.Rows == 0 {
		return p.text(nil, a)
	}
	p.begin()
	at := p.fit(m, a)
	switch p.mode {
	case Blocks:
		p.clear(a, at.Area)
		p.blocks(p.rgba(m, at, l), at)
	default:
		p.kitty(m, a, at, l)
	}
	return p.end()
}

// Text shows lines in the middle of the area instead of a picture. They may
// hold styles; each ends where the area does.
func (p *Painter) Text(lines []string, a Area) []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.text(lines, p.clip(a))
}

func (p *Painter) text(lines []string, a Area) []byte {
	p.begin()
	p.remove()
	p.clear(a, Area{})
	lines = lines[:min(len(lines), a.Rows)]
	for i, s := range lines {
		s = ansi.Truncate(s, a.Cols, "")
		p.move(a.Col+(a.Cols-ansi.StringWidth(s))/2, a.Row+(a.Rows-len(lines))/2+i)
		p.out = append(p.out, s...)
		p.out = append(p.out, "\x1b[m"...)
	}
	return p.end()
}

// Resized tells the terminal's new width and size of a cell (0 = unknown). What
// was shown counts as gone: it is to be painted anew.
func (p *Painter) Resized(columns int, cellWidth, cellHeight float64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.o.Columns, p.c.CellWidth, p.c.CellHeight = columns, cellWidth, cellHeight
}

// Wipe takes the picture away because text comes in its place. It leaves the
// cells alone: the text may be there already, and covers them.
func (p *Painter) Wipe() []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.begin()
	p.remove()
	return p.end()
}

// Refused says that the terminal refused a picture (see ErrRefused). The next
// ones go another way: not by shared memory, then not by a file. It returns
// false if there is no other.
func (p *Painter) Refused() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	switch {
	case p.mode == Blocks:
		return false
	case p.c.SharedMemory:
		p.c.SharedMemory = false
	case p.c.TempFile:
		p.c.TempFile = false
	default:
		return false
	}
	return true
}

// Close deletes the painter's pictures from the terminal's memory and the files
// that the terminal did not take.
func (p *Painter) Close() []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, f := range p.files {
		_ = os.Remove(f)
	}
	p.files = nil
	p.out = nil // what Paint returned may still be on its way
	p.remove()
	return p.out
}

// begin starts the bytes of one change: shown at once where the terminal can,
// the cursor kept, and no line wrapping, so that nothing ever scrolls.
func (p *Painter) begin() {
	p.out = p.out[:0]
	if p.c.Sync {
		p.out = append(p.out, "\x1b[?2026h"...)
	}
	p.out = append(p.out, "\x1b7\x1b[?7l\x1b[m"...)
}

func (p *Painter) end() []byte {
	p.out = append(p.out, "\x1b[m\x1b[?7h\x1b8"...)
	if p.c.Sync {
		p.out = append(p.out, "\x1b[?2026l"...)
	}
	return p.out
}

// move puts the cursor on a cell (CUP).
func (p *Painter) move(col, row int) {
	p.out = append(p.out, "\x1b["...)
	p.out = strconv.AppendInt(p.out, int64(row+1), 10)
	p.out = append(p.out, ';')
	p.out = strconv.AppendInt(p.out, int64(col+1), 10)
	p.out = append(p.out, 'H')
}

// clear erases the cells of a that are not in b (ECH, which moves nothing).
func (p *Painter) clear(a, b Area) {
	for row := a.Row; row < a.Row+a.Rows; row++ {
		if row < b.Row || row >= b.Row+b.Rows || b.Cols == 0 {
			p.erase(a.Col, row, a.Cols)
			continue
		}
		p.erase(a.Col, row, min(b.Col, a.Col+a.Cols)-a.Col)
		from := max(b.Col+b.Cols, a.Col)
		p.erase(from, row, a.Col+a.Cols-from)
	}
}

func (p *Painter) erase(col, row, n int) {
	if n <= 0 {
		return
	}
	p.move(col, row)
	p.out = append(p.out, "\x1b["...)
	p.out = strconv.AppendInt(p.out, int64(n), 10)
	p.out = append(p.out, 'X')
}
