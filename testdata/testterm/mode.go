package testterm

import (
	"fmt"
	"strings"
)

// Private modes (xterm ctlseqs, DECSET) that more than one place asks for.
const (
	modeCursorKeys = 1
	modeWrap       = 7
	modeCursor     = 25
	modeFocus      = 1004
	modePaste      = 2004
	modeSync       = 2026
)

// knownMode lists the private modes that are kept: cursor keys, wrap, blink,
// cursor, mouse, focus, paste, synchronised output, resize reports.
func knownMode(n int) bool {
	switch n {
	case modeCursorKeys, modeWrap, 12, modeCursor, 1000, 1002, 1003, modeFocus, 1005, 1006, 1015, 1016, modePaste, modeSync, 2027, 2031, 2048:
		return true
	}
	return false
}

// mode is DECSET, DECRST, DECSCUSR.
func (g *Grid) mode(seq sequence) bool {
	switch {
	case seq.inter == " " && seq.final == 'q' && seq.private == 0:
		g.shape = seq.num(0, 0)
		return true
	case seq.private != '?' || seq.inter != "" || (seq.final != 'h' && seq.final != 'l'):
		return false
	}
	for _, p := range seq.params {
		g.setMode(p[0], seq.final == 'h')
	}
	return true
}

func (g *Grid) setMode(n int, on bool) {
	switch {
	case n == 47 || n == 1047:
		g.alternate(on, n == 1047)
	case n == 1048 && on:
		g.save()
	case n == 1048:
		g.restore()
	case n == 1049:
		if on && !g.alt {
			g.save()
		}
		was := g.alt
		g.alternate(on, true)
		if !on && was {
			g.restore()
		}
	case knownMode(n):
		g.modes[n] = on
		if n == modeWrap && !on {
			g.cursor.pending = false
		}
	default:
		g.complain("unknown private mode %d", n)
	}
}

// alternate changes the screen. Entering the alternate one clears its text and
// its pictures.
func (g *Grid) alternate(on, wipe bool) {
	if on == g.alt {
		return
	}
	g.alt = on
	if on && wipe {
		s := g.scr()
		for _, line := range s.lines {
			g.fill(line)
		}
		s.images = newImageStore()
	}
}

// maxKeyStack bounds the stack of keyboard flags; the oldest goes.
const maxKeyStack = 16

// keyboard is kitty's progressive enhancement: CSI > flags u, CSI < n u,
// CSI = flags ; mode u. Each screen has its own stack. A terminal that does
// not have it ignores the sequences.
func (g *Grid) keyboard(seq sequence) bool {
	if seq.final != 'u' || seq.inter != "" {
		return false
	}
	s, n := g.scr(), seq.num(0, 0)
	switch seq.private {
	case '>':
		if s.keys = append(s.keys, n); len(s.keys) > maxKeyStack {
			s.keys = s.keys[1:]
		}
	case '<':
		s.keys = s.keys[:max(0, len(s.keys)-max(1, n))]
	case '=':
		if len(s.keys) == 0 {
			s.keys = []int{0}
		}
		top := &s.keys[len(s.keys)-1]
		switch seq.num(1, 1) {
		case 1:
			*top = n
		case 2:
			*top |= n
		case 3:
			*top &^= n
		}
	default:
		return false
	}
	return true
}

// KeyboardFlags returns the flags of kitty's keyboard protocol that count now.
func (g *Grid) KeyboardFlags() int {
	if keys := g.scr().keys; len(keys) > 0 {
		return keys[len(keys)-1]
	}
	return 0
}

// describe is the sequence as one would type it.
func (s sequence) describe() string {
	var b strings.Builder
	if s.private != 0 {
		b.WriteByte(s.private)
	}
	for i, group := range s.params {
		if i > 0 {
			b.WriteByte(';')
		}
		for j, n := range group {
			if j > 0 {
				b.WriteByte(':')
			}
			if n >= 0 {
				fmt.Fprint(&b, n)
			}
		}
	}
	fmt.Fprintf(&b, "%s%q", s.inter, s.final)
	return b.String()
}
