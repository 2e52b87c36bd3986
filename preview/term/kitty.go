package term

import (
	"encoding/base64"
	"os"
	"strconv"

	"github.com/charmbracelet/x/ansi/kitty"

	"garner/preview/jpeg"
)

// This file writes the kitty graphics protocol
// (sw.kovidgoyal.net/kitty/graphics-protocol). Showing has q=1, so that the
// terminal answers only what it could not do: that answer comes before the one
// to the fence, and the picture does not count as drawn. Deleting has q=2.

// kitty shows a picture under the id whose turn it is and then takes the one
// before away, so that at no time nothing is shown.
func (p *Painter) kitty(m *jpeg.Image, a Area, at place, l Look) {
	now, before := p.turn, 1-p.turn
	p.turn = before
	if p.c.Tmux {
		// tmux draws the cells later than it passes commands on: the picture
		// of the last turn but one is the one that no cell shows any more.
		p.delete(now)
	}
	p.transmit(p.id[now], p.rgba(m, at, l), at)
	p.placed[now] = true
	if p.mode == KittyCells {
		p.command("a=p,U=1,q=1,i=", p.id[now], ",c=", at.Cols, ",r=", at.Rows)
		p.clear(a, at.Area)
		p.cells(p.id[now], at.Area)
	} else {
		p.clear(a, Area{})
		p.move(at.Col, at.Row)
		p.command("a=p,p=1,C=1,q=1,i=", p.id[now], ",c=", at.Cols, ",r=", at.Rows)
	}
	if !p.c.Tmux {
		p.delete(before)
	}
}

// transmit sends pixels: in shared memory or a file where the terminal can take
// them from there, else between the other bytes.
func (p *Painter) transmit(id int, pix []byte, at place) {
	head := []any{"a=t,q=1,i=", id, ",f=32,s=", at.w, ",v=", at.h}
	p.tidy()
	if p.c.SharedMemory {
		if name, err := writeShared(p.shmDir, pix); err == nil {
			p.files = append(p.files, name)
			p.commandData(sharedName(name), append(head, ",t=s,S=", len(pix))...)
			return
		}
	}
	if p.c.TempFile { // also when shared memory is full
		if name, err := writeTemp(p.o.TmpDir, pix); err == nil {
			p.files = append(p.files, name)
			p.commandData([]byte(name), append(head, ",t=t,S=", len(pix))...)
			return
		}
	}
	p.base64 = base64.StdEncoding.AppendEncode(p.base64[:0], p.packer.pack(pix, at.w, at.h, !at.fullCanvas))
	rest := p.base64
	head = []any{"a=t,q=1,i=", id, ",f=100,t=d"}
	for first := true; first || len(rest) > 0; first = false {
		n := min(len(rest), kitty.MaxChunkSize)
		more := 0
		if n < len(rest) {
			more = 1
		}
		if first {
			p.commandBase64(rest[:n], append(head, ",m=", more)...)
		} else {
			p.commandBase64(rest[:n], "q=1,m=", more)
		}
		rest = rest[n:]
	}
}

// tidy removes files of pictures before the last: the terminal has taken them
// or never will.
func (p *Painter) tidy() {
	for len(p.files) > 1 {
		_ = os.Remove(p.files[0])
		p.files = p.files[1:]
	}
}

// delete deletes a picture and its data.
func (p *Painter) delete(i int) {
	if p.placed[i] {
		p.command("a=d,d=I,q=2,i=", p.id[i])
		p.placed[i] = false
	}
}

// remove deletes whatever pictures are there.
func (p *Painter) remove() {
	p.delete(0)
	p.delete(1)
}

func (p *Painter) command(parts ...any) { p.commandBase64(nil, parts...) }

func (p *Painter) commandData(data []byte, parts ...any) {
	p.commandBase64(base64.StdEncoding.AppendEncode(nil, data), parts...)
}

// commandBase64 writes one command, in tmux's envelope where tmux is.
func (p *Painter) commandBase64(data []byte, parts ...any) {
	out := p.out
	if p.c.Tmux {
		out = p.wrap[:0]
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
	if p.c.Tmux {
		p.wrap = out
		p.out = appendTmux(p.out, out)
		return
	}
	p.out = out
}

// cells writes the placeholder cells of a picture: the foreground colour is its
// id, diacritics give the row and the column. A cell without follows the one to
// its left. tmux 3.3a was seen to draw all of them before it passes the fence
// on.
func (p *Painter) cells(id int, a Area) {
	p.out = append(p.out, "\x1b[38;5;"...)
	p.out = strconv.AppendInt(p.out, int64(id), 10)
	p.out = append(p.out, 'm')
	for row := range a.Rows {
		p.move(a.Col, a.Row+row)
		for col := range a.Cols {
			p.out = append(p.out, string(kitty.Placeholder)...)
			if col == 0 {
				p.out = append(p.out, string(kitty.Diacritic(row))...)
				p.out = append(p.out, string(kitty.Diacritic(col))...)
			}
		}
	}
	p.out = append(p.out, "\x1b[39m"...)
}
