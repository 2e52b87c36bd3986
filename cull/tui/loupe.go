package tui

import (
	"image"

	"garner/preview/term"
)

// pixels reports whether the way of pictures shows single pixels.
func (p *pictures) pixels() bool { return p.mode.Pixels() }

// noPixels says what half blocks and quadrants cannot do, and what would help.
func (p *pictures) noPixels() string {
	but := "half blocks show what is in a picture, not its focus; "
	if p.mode == term.Quadrants {
		but = "quadrants show what is in a picture, not its focus; "
	}
	switch {
	case p.caps.Tmux && p.caps.Kitty:
		return but + "this terminal shows pictures outside tmux only"
	case p.caps.Tmux:
		return but + "tmux passes pictures on with: set -g allow-passthrough on"
	}
	return but + "a terminal with kitty graphics, sixel or OSC 1337 does"
}

// noLoupe says why nothing can be seen close; "" = it can.
func (m *Model) noLoupe() string {
	switch {
	case m.desk.InLoupe():
		return "" // it can be closed
	case !m.pictures.pixels() && m.pictures.probing:
		return "the terminal has not said yet whether it can show single pixels"
	case !m.pictures.pixels():
		return m.pictures.noPixels()
	}
	return m.desk.NoLoupe()
}

// notClose says why a key of the loupe does nothing.
func (m *Model) notClose() string {
	if !m.desk.InLoupe() {
		return "the loupe is not open; " + m.called("loupe") + " opens it"
	}
	return ""
}

// fitLoupe tells the desk how many pixels there are to fill: the picture's place as
// it is for a frame alone, and beside a ladder.
func (m *Model) fitLoupe() {
	if !m.pictures.pixels() {
		m.desk.CloseLoupe()
		m.desk.SetRoom(image.Point{}, image.Point{})
		return
	}
	m.desk.SetRoom(m.pictures.size(m.arranged(false).picture.area()), m.pictures.size(m.arranged(true).picture.area()))
}
