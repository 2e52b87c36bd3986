package tui

import (
	"errors"
	"fmt"
	"image"

	tea "github.com/charmbracelet/bubbletea"

	"garner/preview/term"
)

// pictures is the way of pictures onto the terminal: which protocol, and what was
// asked of the screen.
type pictures struct {
	o       Options
	screen  Screen
	caps    term.Caps
	mode    term.Mode
	painter *term.Painter
	probing bool // the terminal may still say what it can do
	holding bool // the first picture waits for that a moment
	fenced  bool // it has answered a fence
	noFence bool // it answers nothing: a write that returned counts
	asked   uint64
	writing uint64 // the shot that is drawn and may not have been written yet; 0 = none
	hidden  bool   // something else is shown in the picture's place
	first   bool   // the first picture has been on the screen
	ahead   ahead
	sizes   map[term.Area]image.Point // of areas, in pixels
}

func newPictures(o Options, s Screen) pictures {
	p := pictures{o: o, screen: s}
	if mode, ok := term.ParseMode(o.Picture); ok {
		p.mode = mode
	}
	p.painter = p.newPainter()
	return p
}

// measure takes the size of a cell from the system, which knows it best.
func (p *pictures) measure() {
	if p.o.Cell == nil {
		return
	}
	if w, h := p.o.Cell(); w > 0 && h > 0 {
		p.caps.CellWidth, p.caps.CellHeight = w, h
	}
}

// resized takes in another size of the window, and perhaps of its letters.
func (p *pictures) resized(columns int) {
	p.measure()
	p.sizes, p.ahead = nil, ahead{} // the painter forgets what it was told
	p.painter.Resized(columns, p.caps.CellWidth, p.caps.CellHeight)
}

// keepPictures is how many pictures the painter keeps that are not on the screen: the
// tiles of a page, or what the next keys lead to. Their bytes are bounded too.
const keepPictures = 60

func (p *pictures) newPainter() *term.Painter {
	p.sizes = nil
	var painter *term.Painter
	screen := p.screen
	painter = term.NewPainter(p.caps, p.mode, term.PainterOptions{TmpDir: p.o.TmpDir, Keep: keepPictures, Ready: func() { screen.Ahead(painter.Ahead) }})
	return painter
}

// begin starts the timers of the probe.
func (p *pictures) begin() tea.Cmd {
	if p.o.Probe == nil {
		return nil
	}
	p.probing, p.holding = true, true
	over := probeOverAfter
	if p.o.Probe.Caps().Tmux {
		over = probeTmuxAfter
	}
	return tea.Batch(after(probeSoonAfter, probeSoon, 0), after(probeAgainAfter, probeAgain, 0), after(probeOnceMore, probeAgain, 0),
		after(over, probeOver, 0), after(deafAfter, deaf, 0))
}

// answered takes in an answer and reports whether it is time to look at what the
// terminal can do.
func (p *pictures) answered(a term.Answer) bool {
	return p.o.Probe != nil && p.o.Probe.Take(a)
}

// settle takes over what the terminal has said, and the painter for it.
func (p *pictures) settle() {
	p.caps = p.o.Probe.Caps()
	p.holding = false
	p.measure()
	mode := p.caps.Best()
	if forced, ok := term.ParseMode(p.o.Picture); ok {
		mode = forced
	}
	p.screen.SetFence(term.FenceFor(p.caps, mode), p.noFence)
	p.mode = mode
	old := p.painter
	p.painter = p.newPainter()
	p.screen.Send(old.Close())
	if p.caps.KeyEvents {
		p.screen.Send(term.EnableKeys(p.caps))
	}
}

// edge is the long edge of a picture in the landscape format of a camera that
// fills an area, in pixels.
func (p *pictures) edge(a term.Area) int {
	at := p.size(a)
	return max(1, min(max(at.X, at.Y), at.Y*3/2))
}

// end is what takes pictures and modes of the keyboard from the terminal.
func (p *pictures) end() []byte {
	return append(p.painter.Close(), term.DisableKeys()...)
}

// show asks the screen for what the desk wants seen, unless it has.
func (m *Model) show() tea.Cmd {
	p := &m.pictures
	if p.holding || m.left {
		return nil
	}
	if m.covered() {
		if !p.hidden {
			p.hidden, p.asked = true, 0
			m.desk.Hidden()
			painter := p.painter
			m.screen.Show(term.Shot{Build: painter.Wipe})
		}
		return nil
	}
	if p.hidden {
		p.hidden = false
		m.desk.Redraw()
	}
	s := m.desk.Shot()
	if s.ID == p.asked {
		return nil
	}
	p.asked = s.ID
	if !s.Whole && s.Tiles == nil {
		// A thumbnail, or words, would only hold up the picture that is about to come.
		return after(slowShotAfter, slowShot, s.ID)
	}
	m.draw()
	return nil
}

// covered reports that something else has the whole screen.
func (m *Model) covered() bool { return m.help > 0 || m.review != nil || m.dialog != nil || m.at.small }

// draw sends the present shot.
func (m *Model) draw() {
	s := m.desk.Shot()
	area := m.at.picture.area()
	painter := m.pictures.painter
	m.pictures.writing = s.ID
	if s.Tiles != nil {
		pieces := m.pieces(s, m.at.picture)
		m.screen.Show(term.Shot{ID: s.ID, Build: func() []byte { return painter.Mosaic(pieces, area) }})
		return
	}
	if s.Picture == nil {
		lines := m.message(s, area.Cols, area.Rows)
		m.screen.Show(term.Shot{ID: s.ID, Build: func() []byte { return painter.Text(lines, area) }})
		return
	}
	look := m.lookOf(s.Answer)
	m.screen.Show(term.Shot{ID: s.ID, Build: func() []byte { return painter.Paint(s.Picture, area, look) }})
}

// landed takes in what became of a picture.
func (m *Model) landed(l term.Landing) {
	p := &m.pictures
	if l.ID == p.writing {
		p.writing = 0
	}
	seen := l.Acked
	switch l.State {
	case term.Failed:
		m.failed(l)
	case term.Drawn:
		p.fenced = true
		if p.noFence { // it was slow, not deaf
			p.noFence = false
			m.screen.SetFence(term.FenceFor(p.caps, p.mode), false)
			m.desk.Redraw()
		}
	case term.Written:
		seen = l.Written
	}
	if l.State == term.Drawn || l.State == term.Written && p.noFence {
		if m.desk.InFan() {
			m.coarse()
		}
		if s := m.desk.Shot(); l.ID == s.ID && s.Picture != nil {
			if !p.first {
				p.first = true
				m.judge()
				p.trace("first picture: last byte %d", l.Written.UnixMicro())
			}
			p.trace("picture %d whole %v: asked %d, built %d, written %d, on the screen %d, %d bytes, %s", s.ID, s.Whole,
				l.Asked.UnixMicro(), l.Built.UnixMicro(), l.Written.UnixMicro(), l.Acked.UnixMicro(), l.Bytes, p.mode)
		}
		m.desk.Drawn(l.ID, seen)
	}
	if l.State != term.Written {
		m.desk.Fill()
	}
}

// failed takes in that a picture did not get onto the screen. Where the terminal
// refused it, it goes another way; when there is none left, or it could not even
// be made into bytes, half blocks always work.
func (m *Model) failed(l term.Landing) {
	p := &m.pictures
	switch {
	case l.ID != m.desk.Shot().ID:
		return // it has been overtaken
	case errors.Is(l.Err, term.ErrRefused) && p.painter.Refused():
	case p.mode != term.Blocks:
		m.screen.Send(p.painter.Close())
		p.mode = term.Blocks
		p.painter = p.newPainter()
		m.screen.SetFence(term.FenceFor(p.caps, p.mode), p.noFence)
		m.desk.Remark(fmt.Sprintf("the terminal shows no pictures after all (%v): half blocks show what is in one, not its focus", l.Err))
	default:
		m.desk.Refuse(fmt.Sprintf("the picture could not be drawn: %v", l.Err))
		return
	}
	m.desk.Redraw()
}

// trace tells what happened when, in microseconds since 1970, to whom measures.
func (p *pictures) trace(format string, args ...any) {
	if p.o.Trace != nil {
		p.o.Trace(format, args...)
	}
}

// judge says once what half blocks cannot do.
func (m *Model) judge() {
	if m.judged || m.pictures.pixels() || m.pictures.probing {
		return
	}
	m.judged = true
	m.desk.Remark(m.pictures.noPixels())
}

// probed takes over what the terminal said.
func (m *Model) probed() tea.Cmd {
	p := &m.pictures
	if p.o.Probe == nil || !p.probing {
		return nil
	}
	p.probing = false
	m.pictures.settle()
	p.trace("the terminal said what it can do: %d", m.o.Now().UnixMicro())
	m.dress(p.caps)
	m.desk.Redraw()
	return nil
}

// timer does what a timer was set for.
func (m *Model) timer(t timerMsg) tea.Cmd {
	p := &m.pictures
	switch t.what {
	case probeSoon:
		p.holding = false
	case probeAgain:
		if p.probing && p.o.Probe != nil {
			if again := p.o.Probe.Again(); len(again) > 0 {
				m.screen.Send(again)
			}
		}
	case probeOver:
		if p.probing {
			return m.probed()
		}
	case deaf:
		if !p.fenced && !p.caps.Answered {
			p.noFence = true
			m.screen.SetFence(nil, true)
			m.desk.Redraw()
		}
	case slowShot:
		if s := m.desk.Shot(); s.ID == t.about && !m.covered() && !m.left {
			m.draw()
		}
	case quietInput:
		m.wakeDialog()
	}
	return nil
}

// Pictures names the ways in which pictures get onto a terminal, for a message.
func Pictures() string {
	return fmt.Sprintf("auto, %s, %s, %s, %s, %s or %s", term.Kitty, term.KittyCells, term.Inline, term.Sixel, term.Quadrants, term.Blocks)
}

// CanShow reports whether a way of that name exists.
func CanShow(name string) bool {
	_, ok := term.ParseMode(name)
	return ok || name == "auto"
}
