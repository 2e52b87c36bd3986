package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull/station"
)

// The commands: the only things that run beside Update.

// next waits for what the desk's work brings.
func (m *Model) next() tea.Cmd {
	desk := m.desk
	return func() tea.Msg {
		n, ok := desk.Next()
		if !ok {
			return nil // the desk was closed
		}
		return newsMsg{n}
	}
}

// tick lets pace and time left go on once a second.
func tick() tea.Cmd { return tea.Tick(time.Second, func(t time.Time) tea.Msg { return tickMsg(t) }) }

func after(d time.Duration, what timer, about uint64) tea.Cmd {
	return tea.Tick(d, func(time.Time) tea.Msg { return timerMsg{what, about} })
}

// await waits for what the work of a desk beside the station's brings.
func await(desk interface {
	Next() (station.Brought, bool)
}) tea.Cmd {
	return func() tea.Msg {
		if n, ok := desk.Next(); ok {
			return broughtMsg{n}
		}
		return nil // the desk was closed
	}
}
