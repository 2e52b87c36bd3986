package tui

import (
	tea "github.com/charmbracelet/bubbletea"
)

// openGoTo lets a person type where to go.
func (m *Model) openGoTo() tea.Cmd {
	m.field = &field{opener: "go-to", hint: "number, name, 14:05, scene; Enter", find: m.desk.Find, enter: m.arrive}
	return nil
}

// arrive goes to the match that is selected.
func (m *Model) arrive(f *field) {
	if len(f.matches) == 0 {
		if len(f.text) > 0 {
			m.desk.Refuse("nothing in this job fits \"" + string(f.text) + "\"")
		}
		return
	}
	m.desk.GoTo(f.matches[f.selected].Frame)
}
