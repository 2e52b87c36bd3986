package tui

import (
	"strings"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"garner/cull/station"
	"garner/preview/term"
)

// goTo is the field in which a person types where to go.
type goTo struct {
	text     []rune
	cursor   int
	matches  []station.Match
	selected int
	typed    bool // something other than the held key that opened it
}

// maxField bounds what can be typed or pasted.
const maxField = 200

func (m *Model) openGoTo() tea.Cmd {
	m.goTo = &goTo{}
	return nil
}

// goToKey edits the field; Tab completes, Enter goes.
func (m *Model) goToKey(k term.Key) {
	g := m.goTo
	if !g.typed && m.keys.of("go-to").has(k.Name) {
		return // the key that opened it is still held
	}
	g.typed = true
	switch k.Name {
	case "esc":
		m.goTo = nil
	case "enter":
		m.arrive()
	case "tab":
		if len(g.matches) > 0 {
			g.set(m.desk, g.matches[g.selected].Name)
		}
	case "up":
		g.selected = max(0, g.selected-1)
	case "down":
		g.selected = max(0, min(len(g.matches)-1, g.selected+1))
	case "left":
		g.cursor = max(0, g.cursor-1)
	case "right":
		g.cursor = min(len(g.text), g.cursor+1)
	case "home":
		g.cursor = 0
	case "end":
		g.cursor = len(g.text)
	case "backspace":
		if g.cursor > 0 {
			g.edit(m.desk, append(append([]rune{}, g.text[:g.cursor-1]...), g.text[g.cursor:]...), g.cursor-1)
		}
	case "delete":
		if g.cursor < len(g.text) {
			g.edit(m.desk, append(append([]rune{}, g.text[:g.cursor]...), g.text[g.cursor+1:]...), g.cursor)
		}
	case "ctrl+u":
		g.edit(m.desk, nil, 0)
	default:
		g.insert(m.desk, k.Text)
	}
}

// arrive goes to the match that is selected.
func (m *Model) arrive() {
	g := m.goTo
	m.goTo = nil
	if len(g.matches) == 0 {
		if len(g.text) > 0 {
			m.desk.Refuse("nothing in this job fits \"" + string(g.text) + "\"")
		}
		return
	}
	m.desk.GoTo(g.matches[g.selected].Frame)
}

func (g *goTo) insert(d *station.Desk, text string) {
	var in []rune
	for _, r := range text {
		if unicode.IsGraphic(r) && len(g.text)+len(in) < maxField {
			in = append(in, r)
		}
	}
	if len(in) == 0 {
		return
	}
	g.edit(d, append(append(append([]rune{}, g.text[:g.cursor]...), in...), g.text[g.cursor:]...), g.cursor+len(in))
}

func (g *goTo) set(d *station.Desk, text string) {
	r := []rune(text)
	g.edit(d, r, len(r))
}

func (g *goTo) edit(d *station.Desk, text []rune, cursor int) {
	g.text, g.cursor, g.selected = text, cursor, 0
	g.matches = d.Find(strings.TrimSpace(string(text)))
}
