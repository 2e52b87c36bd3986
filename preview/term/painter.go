package term

import (
	"runtime"
	"sync"

	"github.com/charmbracelet/x/ansi"

	"garner/preview/jpeg"
)

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
	// FirstID is the first picture id for KittyCells, from 1 to 255; 0 takes
	// one by the process, so that two programs in panes of one terminal seldom
	// meet.
	FirstID int
	// Keep is how many pictures are kept that are not on the screen, those
	// that are wanted and those that were shown; 12. KeepBytes bounds the
	// bytes of all pictures, in the terminal's store or as they wait; 64 MiB.
	Keep      int
	KeepBytes int64
	// Ready is called when Ahead has something to send, by the goroutine that
	// prepares pictures. It must not call Close.
	Ready func()
}

// What is kept where the options do not say. kitty keeps 320 MB for a screen.
const (
	keepPictures = 12
	keepBytes    = 64 << 20
)

// maxCores are used for a picture that somebody waits for.
const maxCores = 4

// Painter makes the bytes that show pictures, and owns their ids and files.
// What it returns must be written in that order, so when shots go through a
// Screen, whose newest wins, all of it belongs into the Build of a Shot or of
// Ahead, but Close. All methods may be called from any goroutine; after Close
// they return nothing.
type Painter struct {
	mu     sync.Mutex
	c      Caps
	mode   Mode
	o      PainterOptions
	way    way
	keeper keeper // the same, if its terminal keeps pictures
	files  files
	ids    ids
	store  store
	ink    ink
	easel  easel
	ahead  ahead

	shown  []shown // what is on the screen
	gone   []shown // what tmux may still show cells of
	spare  []shown
	placed int   // placements so far
	drawn  int   // drawings so far, see gatherer
	lost   []int // ids that are to be forgotten at the next occasion
	stale  bool  // anything may be on the screen instead
	closed bool
}

// shown is a piece on the screen. One that only clears its area has no sheet.
type shown struct {
	sheet *sheet
	id    int // the sheet's at that time
	area  Area
	cells Area
	n     int    // of the placement
	drawn int    // the first of its drawings
	turn  uint64 // when it was shown
}

// NewPainter returns a painter for a terminal in a mode.
func NewPainter(c Caps, m Mode, o PainterOptions) *Painter {
	if o.Keep <= 0 {
		o.Keep = keepPictures
	}
	if o.KeepBytes <= 0 {
		o.KeepBytes = keepBytes
	}
	p := &Painter{c: c, mode: m, o: o, ids: newIDs(m, o.FirstID)}
	p.files.shmDir, p.files.tmpDir = sharedDir, o.TmpDir
	p.way = newWay(m, c, o, &p.files)
	p.keeper, _ = p.way.(keeper)
	p.ink.sync, p.ink.tmux, p.ink.spaces = c.Sync && m != Sixel, c.Tmux, m == Sixel
	p.store = store{sheets: map[key]*sheet{}, limit: o.Keep, bytes: o.KeepBytes, dropped: p.dropped}
	if c.Tmux && p.keeper != nil {
		p.store.stays = 1
	}
	p.easel.cores = min(runtime.GOMAXPROCS(0), maxCores)
	p.ahead.chunks = partChunks
	p.ahead.wake = make(chan struct{}, 1)
	return p
}

// Paint shows a picture in the area, as large as it fits in its shape, in place
// of all before; the rest of the area is cleared. Cells outside the area are
// never touched, not even those of a larger area before: text may stand there by
// the time that the bytes are written. The cells are written also if the same
// picture is there already. What it returns is valid until the next call of
// Paint, Mosaic, Text, Wipe or Ahead; it is nil, and nothing has changed, if the
// picture could not be prepared. A picture that is not valid only clears.
func (p *Painter) Paint(m *jpeg.Image, a Area, l Look) []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.mosaic([]Piece{{Picture: m, Area: a, Look: l}}, a, true)
}

// Text shows lines in the middle of the area instead of pictures. They may
// hold styles; each ends where the area does.
func (p *Painter) Text(lines []string, a Area) []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed {
		return nil
	}
	a = p.clip(a)
	p.ink.begin()
	p.wipe()
	p.ink.clear(a, Area{})
	lines = lines[:min(len(lines), a.Rows)]
	for i, s := range lines {
		s = ansi.Truncate(s, a.Cols, "")
		p.ink.move(a.Col+(a.Cols-ansi.StringWidth(s))/2, a.Row+(a.Rows-len(lines))/2+i)
		p.ink.text(s)
		p.ink.text("\x1b[m")
	}
	return p.ink.end()
}

// Wipe takes the pictures away because text comes in their place. It leaves the
// cells alone: the text may be there already, and covers them.
func (p *Painter) Wipe() []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed {
		return nil
	}
	p.ink.begin()
	p.wipe()
	return p.ink.end()
}

// Resized tells the terminal's new width and size of a cell (0 = unknown). What
// was shown counts as gone: it is to be painted anew.
func (p *Painter) Resized(columns int, cellWidth, cellHeight float64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.o.Columns, p.c.CellWidth, p.c.CellHeight = columns, cellWidth, cellHeight
	p.stale = true
	p.ahead.wanted = nil // in another size now
}

// Stale says that the screen has been cleared or written over: the next Mosaic
// shows all of it anew.
func (p *Painter) Stale() {
	p.mu.Lock()
	p.stale = true
	p.mu.Unlock()
}

// Refused says that the terminal refused a picture (see ErrRefused). Where it
// was to be in the terminal's store, it was lost there, and the next ones are
// sent anew; else they go another way: not by shared memory, then not by a
// file. It returns false if there is no other.
func (p *Painter) Refused() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.keeper == nil || p.closed {
		return false
	}
	kept := false
	for _, n := range p.shown {
		kept = kept || n.sheet != nil && n.sheet.sent < n.turn
	}
	p.lose()
	if kept {
		return true
	}
	w, ok := p.way.(interface{ slower() bool })
	if !ok || !w.slower() {
		return false
	}
	for _, s := range p.store.sheets {
		if s.load.file != "" { // goes the way that was refused
			p.store.drop(s)
		}
	}
	p.ahead.kick()
	return true
}

// Close deletes the painter's pictures from the terminal's memory and the files
// that the terminal did not take, and ends the preparing of pictures.
func (p *Painter) Close() []byte {
	p.mu.Lock()
	p.closed = true
	stop := p.ahead.stop
	p.ahead.stop = nil
	p.mu.Unlock()
	p.ahead.close(stop)
	p.files.close()
	p.mu.Lock()
	defer p.mu.Unlock()
	o := ink{tmux: p.c.Tmux} // what Paint returned may still be on its way
	if p.ahead.open != nil {
		p.cutOff(&o)
	}
	if g, ok := p.way.(gatherer); ok && len(p.shown) > 0 && g.keeps() > 0 {
		o.text("\x1b7")
		g.flush(&o)
		o.text("\x1b8")
	}
	if d, ok := p.way.(deleter); ok {
		for _, id := range p.ids.ever() {
			d.delete(&o, id)
		}
		p.ids = ids{}
	}
	p.lost, p.shown, p.gone, p.store.sheets, p.ahead.wanted = nil, nil, nil, nil, nil
	return o.out
}
