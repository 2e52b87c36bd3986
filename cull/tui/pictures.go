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

// show asks the screen for what is to be seen, unless it has.
func (w *window) show(s subject) tea.Cmd {
	p := &w.pictures
	if p.holding || w.left {
		return nil
	}
	if s.covered() {
		if !p.hidden {
			p.hidden, p.asked = true, 0
			s.table().Hidden()
			painter := p.painter
			w.screen.Show(term.Shot{Build: painter.Wipe})
		}
		return nil
	}
	if p.hidden {
		p.hidden = false
		s.table().Redraw()
	}
	now := s.seen()
	if now.id == p.asked {
		return nil
	}
	p.asked = now.id
	if !now.ready {
		// A thumbnail, or words, would only hold up the picture that is about to come.
		return after(slowShotAfter, slowShot, now.id)
	}
	w.draw(s)
	return nil
}

// draw sends what is to be seen.
func (w *window) draw(s subject) {
	id := s.seen().id
	w.pictures.writing = id
	w.screen.Show(term.Shot{ID: id, Build: s.draw()})
}

// landed takes in what became of a picture.
func (w *window) landed(s subject, l term.Landing) {
	p := &w.pictures
	if l.ID == p.writing {
		p.writing = 0
	}
	at := l.Acked
	switch l.State {
	case term.Failed:
		w.failed(s, l)
	case term.Drawn:
		p.fenced = true
		if p.noFence { // it was slow, not deaf
			p.noFence = false
			w.screen.SetFence(term.FenceFor(p.caps, p.mode), false)
			s.table().Redraw()
		}
	case term.Written:
		at = l.Written
	}
	if l.State == term.Drawn || l.State == term.Written && p.noFence {
		s.landed()
		if now := s.seen(); l.ID == now.id && now.picture {
			if !p.first {
				p.first = true
				w.judge(s)
				p.trace("first picture: last byte %d", l.Written.UnixMicro())
			}
			p.trace("picture %d whole %v: asked %d, built %d, written %d, on the screen %d, %d bytes, %s", now.id, now.ready,
				l.Asked.UnixMicro(), l.Built.UnixMicro(), l.Written.UnixMicro(), l.Acked.UnixMicro(), l.Bytes, p.mode)
		}
		s.table().Drawn(l.ID, at)
	}
}

// failed takes in that a picture did not get onto the screen. Where the terminal
// refused it, it goes another way; when there is none left, or it could not even
// be made into bytes, half blocks always work.
func (w *window) failed(s subject, l term.Landing) {
	p := &w.pictures
	switch {
	case l.ID != s.seen().id:
		return // it has been overtaken
	case errors.Is(l.Err, term.ErrRefused) && p.painter.Refused():
	case p.mode != term.Blocks:
		w.screen.Send(p.painter.Close())
		p.mode = term.Blocks
		p.painter = p.newPainter()
		w.screen.SetFence(term.FenceFor(p.caps, p.mode), p.noFence)
		s.table().Remark(fmt.Sprintf("the terminal shows no pictures after all (%v): half blocks show what is in one, not its focus", l.Err))
	default:
		s.table().Refuse(fmt.Sprintf("the picture could not be drawn: %v", l.Err))
		return
	}
	s.table().Redraw()
}

// trace tells what happened when, in microseconds since 1970, to whom measures.
func (p *pictures) trace(format string, args ...any) {
	if p.o.Trace != nil {
		p.o.Trace(format, args...)
	}
}

// judge says once what half blocks cannot do.
func (w *window) judge(s subject) {
	if w.judged || w.pictures.pixels() || w.pictures.probing {
		return
	}
	w.judged = true
	s.table().Remark(w.pictures.noPixels())
}

// probed takes over what the terminal said.
func (w *window) probed(s subject) {
	p := &w.pictures
	if p.o.Probe == nil || !p.probing {
		return
	}
	p.probing = false
	p.settle()
	p.trace("the terminal said what it can do: %d", w.o.Now().UnixMicro())
	w.dress(p.caps)
	s.table().Redraw()
}

// timer does what a timer of the pictures was set for.
func (w *window) timer(s subject, t timerMsg) {
	p := &w.pictures
	switch t.what {
	case probeSoon:
		p.holding = false
	case probeAgain:
		if p.probing && p.o.Probe != nil {
			if again := p.o.Probe.Again(); len(again) > 0 {
				w.screen.Send(again)
			}
		}
	case probeOver:
		w.probed(s)
	case deaf:
		if !p.fenced && !p.caps.Answered {
			p.noFence = true
			w.screen.SetFence(nil, true)
			s.table().Redraw()
		}
	case slowShot:
		if s.seen().id == t.about && !s.covered() && !w.left {
			w.draw(s)
		}
	}
}

// resized takes in another size of the window, or of its letters. What was on the
// screen went with it.
func (w *window) resized(s subject, size tea.WindowSizeMsg) {
	w.width, w.height = size.Width, size.Height
	w.pictures.resized(size.Width)
	s.table().Redraw()
}

// lost draws everything anew, since the screen missed part of it.
func (w *window) lost(s subject) tea.Cmd {
	w.pictures.painter.Stale()
	s.table().Redraw()
	return tea.ClearScreen
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
