package tui

import (
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull/station"
	"garner/cull/tui/pane"
	"garner/preview/term"
)

// window is what every full screen has: the terminal, the way of pictures onto it, and
// an end.
type window struct {
	o      Options
	screen Screen
	styles *pane.Styles

	width, height int
	pictures      pictures

	help   int  // the page of keys that is shown, from 1; 0 = none
	judged bool // it was said that half blocks cannot judge focus
	left   bool // nothing is drawn any more
	ended  error
}

// subject is what a window shows in the place of the picture.
type subject interface {
	seen() seen
	draw() (build func() []byte) // of what is to be seen now
	covered() bool               // something else has the whole screen
	landed()                     // what is to be seen is on the screen
	table() table
}

// seen is what is to be seen now.
type seen struct {
	id      uint64 // grows whenever something else is to be seen
	ready   bool   // it is no stopgap for what is about to come
	picture bool   // it is more than words
}

// table is who has laid out what is to be seen, and is told what became of it.
type table interface {
	Redraw()
	Hidden()
	Drawn(id uint64, at time.Time)
	Remark(text string)
	Refuse(why string)
}

// full is a model of a full screen.
type full interface {
	tea.Model
	frame() *window
}

// frame is the window itself.
func (w *window) frame() *window { return w }

// update folds in what has to do with the terminal alone.
func (w *window) update(s subject, msg tea.Msg) (cmd tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		w.resized(s, msg)
	case landedMsg:
		w.landed(s, term.Landing(msg))
	case answerMsg:
		if w.pictures.answered(term.Answer(msg)) {
			w.probed(s)
		}
	case timerMsg:
		w.timer(s, msg)
	case lostMsg:
		cmd = w.lost(s)
	case inputEndedMsg:
		w.ended = ErrInput
		cmd = w.leave()
	case stopMsg:
		cmd = w.leave()
	}
	return cmd
}

// press is an event of a key as a desk wants to know it.
func (w *window) press(k term.Key) station.Press {
	return station.Press{Key: k.Name, At: k.At, Repeat: k.Repeat, Precise: w.pictures.caps.KeyEvents}
}

// turnHelp shows the next page of keys if there is one and it is wanted, or goes back
// to the picture.
func (w *window) turnHelp(s subject, wanted bool, h pane.Help) {
	if wanted && w.help < h.Pages(w.styles, w.width, w.height) {
		w.help++
		return
	}
	w.help = 0
	s.table().Redraw()
}

func (w *window) tooSmall() []string {
	lines := make([]string, w.height)
	for i, text := range []string{"the window is too small", fmt.Sprintf("%dx%d; garner needs %dx%d", w.width, w.height, minWidth, minHeight)} {
		if i < len(lines) {
			lines[i] = text[:min(len(text), w.width)]
		}
	}
	return lines
}

// notice is what a desk says as it is drawn; undo is the name of the key that takes
// back what it tells of.
func notice(n station.Notice, undo string) pane.Notice {
	kind := pane.Said
	switch n.Kind {
	case station.Refused:
		kind = pane.Refused
	case station.Fault:
		kind = pane.Fault
	}
	return pane.Notice{Text: n.Text, Kind: kind, Undo: n.Undo, Key: undo}
}

// leave takes everything from the screen.
func (w *window) leave() tea.Cmd {
	w.left = true
	w.screen.Send(w.pictures.end())
	return tea.Quit
}
