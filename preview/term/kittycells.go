package term

import "github.com/charmbracelet/x/ansi/kitty"

// kittyCells shows pictures of the terminal's store by cells of text that stand
// for their parts (kitty graphics protocol, "Unicode placeholders"). They need a
// placement that is nowhere by itself; it has the number 1.
type kittyCells struct{ *kittyStore }

// send places the picture at once: when the terminal has to make room, pictures
// without a placement go first.
func (k *kittyCells) send(o *ink, s *sheet) {
	k.transmit(o, s)
	if s.load.medium != inBand {
		k.place(o, s)
	}
}

func (k *kittyCells) part(o *ink, s *sheet, from, chunks int) (to int) {
	to = k.kittyStore.part(o, s, from, chunks)
	if to == len(s.load.data) {
		k.place(o, s)
	}
	return to
}

func (k *kittyCells) place(o *ink, s *sheet) {
	o.command("a=p,U=1,q=1,i=", s.id, ",p=1,c=", s.cols, ",r=", s.rows)
}

// show places the picture again: cells of one that the terminal no longer has
// would stay empty without a word, but a placement is refused.
func (k *kittyCells) show(o *ink, s *sheet, at spot) {
	k.place(o, s)
	at.clear(o)
	k.cells(o, s.id, at.cells)
}

// hide deletes all placements: kitty 0.41 makes one of its own for cells that it
// has drawn, which outlives the one that they stand for.
func (k *kittyCells) hide(o *ink, id, _ int) { o.command("a=d,d=i,q=2,i=", id) }

// cells writes the cells of a picture: the foreground colour is its id,
// diacritics give the row and the column. A cell without follows the one to its
// left. tmux 3.3a was seen to draw all of them before it passes the fence on.
func (k *kittyCells) cells(o *ink, id int, a Area) {
	o.text("\x1b[38;5;")
	o.number(id)
	o.text("m")
	for row := range a.Rows {
		o.move(a.Col, a.Row+row)
		o.text(string(kitty.Placeholder) + string(kitty.Diacritic(row)) + string(kitty.Diacritic(0)))
		for range a.Cols - 1 {
			o.text(string(kitty.Placeholder))
		}
	}
	o.text("\x1b[39m")
}
