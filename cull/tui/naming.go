package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"garner/cull"
)

// openNaming lets a person name the scene that the cursor is in. What was used
// before is offered, in this job or in earlier ones.
func (m *Model) openNaming() tea.Cmd {
	s, given, _ := m.desk.SceneHere()
	h, _ := m.desk.Here()
	f := &field{
		opener: "scene-name", prompt: "scene " + cull.SceneNumber(s.ID) + " is", hint: "Tab completes, Enter keeps it",
		first: -1, selected: -1,
		find:  m.desk.FindSceneName,
		enter: m.nameFor(h.Frame.ID),
	}
	f.text = []rune(given)
	f.cursor = len(f.text)
	f.matches = m.desk.FindSceneName("")
	m.field = f
	return nil
}

// nameFor keeps what was typed, or the match that was chosen, as the name of a
// frame's scene.
func (m *Model) nameFor(frame cull.ID) func(*field) {
	return func(f *field) {
		name := string(f.text)
		if f.selected >= 0 && f.selected < len(f.matches) {
			name = f.matches[f.selected].Name
		}
		m.desk.NameScene(frame, name)
	}
}
