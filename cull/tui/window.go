package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull/tui/pane"
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

// leave takes everything from the screen.
func (w *window) leave() tea.Cmd {
	w.left = true
	w.screen.Send(w.pictures.end())
	return tea.Quit
}
