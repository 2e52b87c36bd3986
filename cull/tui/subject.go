package tui

import (
	"garner/cull/station"
	"garner/cull/tui/pane"
)

// The station's frames as the subject of the window.

func (m *Model) table() table { return m.desk }

func (m *Model) seen() seen {
	s := m.desk.Shot()
	return seen{s.ID, s.Whole || s.Tiles != nil, s.Picture != nil}
}

// covered reports that something else has the whole screen.
func (m *Model) covered() bool { return m.help > 0 || m.review != nil || m.dialog != nil || m.at.small }

// draw gives what makes the bytes of the present shot.
func (m *Model) draw() func() []byte {
	s, area, painter := m.desk.Shot(), m.at.picture.area(), m.pictures.painter
	switch {
	case s.Tiles != nil:
		pieces := m.pieces(s, m.at.picture)
		return func() []byte { return painter.Mosaic(pieces, area) }
	case s.Picture == nil:
		lines := m.message(s, area.Cols, area.Rows)
		return func() []byte { return painter.Text(lines, area) }
	}
	look := m.lookOf(s.Answer)
	return func() []byte { return painter.Paint(s.Picture, area, look) }
}

// landed looks at what has come onto the screen.
func (m *Model) landed() {
	if m.desk.InFan() {
		m.coarse()
	}
}

// message is what stands in the place of a picture.
func (w *window) message(s station.Shot, cols, rows int) []string {
	return pane.Message{Title: s.Title, Lines: s.Text}.Block(w.styles, cols, rows)
}
