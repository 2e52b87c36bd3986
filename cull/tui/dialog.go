package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"garner/preview/term"
)

// dialog is something that has to be read before anything else is done. It opens
// by itself, so keys that were meant for the picture must not answer it: it
// sleeps until the input has been quiet for a while.
type dialog struct {
	title  string
	lines  []string
	opened time.Time
	heard  time.Time // the last key while it slept
	awake  bool
}

func newDialog(now time.Time, title string, lines ...string) *dialog {
	return &dialog{title: title, lines: lines, opened: now, heard: now}
}

func (m *Model) open(d *dialog) {
	if m.dialog != nil { // one at a time: what comes on top is read with it
		m.dialog.lines = append(m.dialog.lines, d.lines...)
		return
	}
	m.dialog = d
	m.prefix, m.help, m.review = "", 0, nil
}

// dialogKey closes the dialog once it is awake.
func (m *Model) dialogKey(k term.Key) tea.Cmd {
	if !m.awake(k.At) {
		m.dialog.heard = k.At
		return nil
	}
	if k.Name == "enter" || k.Name == "esc" || k.Name == "space" {
		m.dialog = nil
	}
	return nil
}

// awake reports whether keys typed now are meant for the dialog.
func (m *Model) awake(at time.Time) bool {
	d := m.dialog
	d.awake = d.awake || at.Sub(d.heard) >= quietAfter || at.Sub(d.opened) >= quietAtMost
	return d.awake
}

// wakeDialog lets the screen show that the dialog listens.
func (m *Model) wakeDialog() {
	if m.dialog != nil {
		m.awake(m.o.Now())
	}
}
