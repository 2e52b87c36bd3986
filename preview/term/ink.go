package term

import (
	"bytes"
	"encoding/base64"
	"strconv"
)

// ink gathers the bytes of one change of the screen.
type ink struct {
	out    []byte
	sync   bool // the terminal can show a change at once, mode 2026
	tmux   bool // graphics commands go into envelopes
	spaces bool // cells are erased with spaces
	wrap   []byte
	base64 []byte
}

// begin starts a change: shown at once where the terminal can, the cursor kept,
// and no line wrapping, so that nothing ever scrolls.
func (o *ink) begin() {
	o.out = o.out[:0]
	if o.sync {
		o.out = append(o.out, "\x1b[?2026h"...)
	}
	o.out = append(o.out, "\x1b7\x1b[?7l\x1b[m"...)
}

func (o *ink) end() []byte {
	o.out = append(o.out, "\x1b[m\x1b[?7h\x1b8"...)
	if o.sync {
		o.out = append(o.out, "\x1b[?2026l"...)
	}
	return o.out
}

func (o *ink) text(s string) { o.out = append(o.out, s...) }

func (o *ink) number(n int) { o.out = strconv.AppendInt(o.out, int64(n), 10) }

// move puts the cursor on a cell (CUP).
func (o *ink) move(col, row int) {
	o.text("\x1b[")
	o.number(row + 1)
	o.text(";")
	o.number(col + 1)
	o.text("H")
}

// clear erases the cells of a that are not in b. It is done with ECH, which moves
// nothing, or with spaces: of sixels xterm (patch 379) takes away for good only what
// is written over, all else comes back when its window was covered.
func (o *ink) clear(a, b Area) {
	for row := a.Row; row < a.Row+a.Rows; row++ {
		if row < b.Row || row >= b.Row+b.Rows || b.Cols == 0 {
			o.erase(a.Col, row, a.Cols)
			continue
		}
		o.erase(a.Col, row, min(b.Col, a.Col+a.Cols)-a.Col)
		from := max(b.Col+b.Cols, a.Col)
		o.erase(from, row, a.Col+a.Cols-from)
	}
}

func (o *ink) erase(col, row, n int) {
	if n <= 0 {
		return
	}
	o.move(col, row)
	if o.spaces {
		o.out = append(o.out, bytes.Repeat([]byte{' '}, n)...)
		return
	}
	o.text("\x1b[")
	o.number(n)
	o.text("X")
}

// rows writes the rows of cells of a load. A row may rely on the style that the
// one before it has left.
func (o *ink) rows(l load, at Area) {
	from := 0
	for i, end := range l.ends {
		o.move(at.Col, at.Row+i)
		o.out = append(o.out, l.data[from:end]...)
		from = end
	}
}

// command writes one command of the kitty graphics protocol; parts are strings
// and ints.
func (o *ink) command(parts ...any) { o.commandBase64(nil, parts...) }

// commandData is command with a payload.
func (o *ink) commandData(data []byte, parts ...any) {
	o.base64 = base64.StdEncoding.AppendEncode(o.base64[:0], data)
	o.commandBase64(o.base64, parts...)
}

// commandBase64 writes one command, in tmux's envelope where tmux is.
func (o *ink) commandBase64(data []byte, parts ...any) {
	out := o.out
	if o.tmux {
		out = o.wrap[:0]
	}
	out = append(out, "\x1b_G"...)
	for _, part := range parts {
		switch v := part.(type) {
		case string:
			out = append(out, v...)
		case int:
			out = strconv.AppendInt(out, int64(v), 10)
		}
	}
	if len(data) > 0 {
		out = append(out, ';')
		out = append(out, data...)
	}
	out = append(out, "\x1b\\"...)
	if o.tmux {
		o.wrap = out
		o.out = appendTmux(o.out, out)
		return
	}
	o.out = out
}
