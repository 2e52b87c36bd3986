package tui

import (
	"unicode"

	"garner/cull/station"
	"garner/cull/tui/pane"
	"garner/preview/term"
)

// field is a line in which a person types, with what it may mean or be completed to
// below it.
type field struct {
	opener       string // name of the binding that opened it
	prompt, hint string
	text         []rune
	cursor       int
	matches      []station.Match
	notes        []string // what should be known before
	selected     int      // index into matches; -1 = none
	first        int      // what is selected once something is typed
	typed        bool     // something other than the held key that opened it
	find         func(text string) []station.Match
	enter        func(*field) // after it was closed
}

// maxField bounds what can be typed or pasted.
const maxField = 200

// fieldKey edits the field that is open.
func (m *Model) fieldKey(k term.Key) {
	f := m.field
	switch f.key(k, m.keys.of(f.opener).has(k.Name)) {
	case fieldLeft:
		m.field = nil
	case fieldEntered:
		m.field = nil
		f.enter(f)
	}
}

// fieldEnd is what became of a field after a key.
type fieldEnd uint8

const (
	fieldOpen fieldEnd = iota
	fieldLeft
	fieldEntered
)

// key edits the field; Tab completes, Enter goes on with it, Esc leaves it. Opener is
// whether the key is one of those that opened it, which may still be held.
func (f *field) key(k term.Key, opener bool) fieldEnd {
	if !f.typed && opener {
		return fieldOpen
	}
	f.typed = true
	switch k.Name {
	case "esc":
		return fieldLeft
	case "enter":
		return fieldEntered
	case "tab":
		if at := max(f.selected, 0); at < len(f.matches) {
			f.set(f.matches[at].Name)
		}
	case "up":
		f.selected = max(f.first, f.selected-1)
	case "down":
		f.selected = max(f.first, min(len(f.matches)-1, f.selected+1))
	case "left":
		f.cursor = max(0, f.cursor-1)
	case "right":
		f.cursor = min(len(f.text), f.cursor+1)
	case "home":
		f.cursor = 0
	case "end":
		f.cursor = len(f.text)
	case "backspace":
		if f.cursor > 0 {
			f.edit(append(append([]rune{}, f.text[:f.cursor-1]...), f.text[f.cursor:]...), f.cursor-1)
		}
	case "delete":
		if f.cursor < len(f.text) {
			f.edit(append(append([]rune{}, f.text[:f.cursor]...), f.text[f.cursor+1:]...), f.cursor)
		}
	case "ctrl+u":
		f.edit(nil, 0)
	default:
		f.insert(k.Text)
	}
	return fieldOpen
}

// lines are the field, and below it what it may mean.
func (f *field) lines(st *pane.Styles, r rect) []string {
	p := pane.Goto{Prompt: f.prompt, Text: string(f.text), Cursor: f.cursor, Selected: f.selected, Hint: f.hint, Notes: f.notes}
	for _, match := range f.matches {
		p.Matches = append(p.Matches, pane.Match{Name: match.Name, What: match.What})
	}
	return p.Lines(st, r.cols, r.rows)
}

func (f *field) insert(text string) {
	var in []rune
	for _, r := range text {
		if unicode.IsGraphic(r) && len(f.text)+len(in) < maxField {
			in = append(in, r)
		}
	}
	if len(in) == 0 {
		return
	}
	f.edit(append(append(append([]rune{}, f.text[:f.cursor]...), in...), f.text[f.cursor:]...), f.cursor+len(in))
}

func (f *field) set(text string) {
	r := []rune(text)
	f.edit(r, len(r))
}

func (f *field) edit(text []rune, cursor int) {
	f.text, f.cursor, f.selected = text, cursor, f.first
	f.matches = f.find(string(text))
}
