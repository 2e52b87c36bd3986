package testterm

import "strings"

// sequence acts on what the parser found.
func (g *Grid) sequence(seq sequence) {
	// A change of colour does not part a character from what combines onto it;
	// layout libraries write styles rune by rune.
	if seq.kind != '[' || seq.final != 'm' {
		g.lastOK = false
	}
	switch seq.kind {
	case 0:
		g.escapeSequence(seq)
	case '[':
		g.controlSequence(seq)
	default:
		g.controlString(seq)
	}
}

// escapeSequence is ECMA-48 §5.5 and DEC's private ones.
func (g *Grid) escapeSequence(seq sequence) {
	switch seq.inter + string(rune(seq.final)) {
	case "7":
		g.save()
	case "8":
		g.restore()
	case "D":
		g.cursor.pending = false
		g.index()
	case "E":
		g.cursor.col, g.cursor.pending = 0, false
		g.index()
	case "M":
		g.cursor.pending = false
		g.reverseIndex()
	case "H":
		g.tabs[g.cursor.col] = true
	case "c":
		g.reset()
	case "=":
		g.keypad = true
	case ">":
		g.keypad = false
	case "(B", "\\": // US-ASCII; an ST that ends nothing
	default:
		g.complain("unknown escape sequence ESC %s%c", seq.inter, seq.final)
	}
}

// controlSequence is ECMA-48 §5.4, with xterm's private ones.
func (g *Grid) controlSequence(seq sequence) {
	switch {
	case seq.private == 0 && seq.inter == "" && g.move(seq):
	case seq.private == 0 && seq.inter == "" && g.edit(seq):
	case seq.private == 0 && seq.inter == "" && seq.final == 'm':
		g.sgr(seq)
	case g.mode(seq):
	case g.keyboard(seq):
	case g.query(seq):
	case g.window(seq):
	default:
		g.complain("unknown control sequence CSI %s", seq.describe())
	}
}

// move is the motion of the cursor. Every motion ends a pending wrap.
func (g *Grid) move(seq sequence) bool {
	c, s, n := &g.cursor, g.scr(), seq.num(0, 1)
	switch seq.final {
	case 'H', 'f': // CUP, HVP
		c.row, c.col = n-1, seq.num(1, 1)-1
	case 'A': // CUU stops at the margin
		c.row = max(c.row-n, g.stop(c.row < s.top, 0, s.top))
	case 'B', 'e': // CUD, VPR
		c.row = min(c.row+n, g.stop(c.row > s.bottom, g.rows-1, s.bottom))
	case 'C', 'a': // CUF, HPR
		c.col += n
	case 'D': // CUB
		c.col -= n
	case 'E': // CNL
		c.row, c.col = min(c.row+n, g.stop(c.row > s.bottom, g.rows-1, s.bottom)), 0
	case 'F': // CPL
		c.row, c.col = max(c.row-n, g.stop(c.row < s.top, 0, s.top)), 0
	case 'G', '`': // CHA, HPA
		c.col = n - 1
	case 'd': // VPA
		c.row = n - 1
	case 'I': // CHT
		for range min(n, g.cols) {
			g.control('\t')
		}
	case 'Z': // CBT
		for range min(n, g.cols) {
			for c.col > 0 {
				if c.col--; g.tabs[c.col] {
					break
				}
			}
		}
	case 's': // SCOSC
		if len(seq.params) > 0 {
			return false
		}
		g.save()
		return true
	case 'u': // SCORC
		if len(seq.params) > 0 {
			return false
		}
		g.restore()
		return true
	case 'r': // DECSTBM
		top, bottom := n-1, min(seq.num(1, g.rows), g.rows)-1
		if top < bottom {
			s.top, s.bottom = top, bottom
			c.row, c.col = 0, 0
		}
	default:
		return false
	}
	c.row, c.col = clamp(c.row, 0, g.rows-1), clamp(c.col, 0, g.cols-1)
	c.pending = false
	return true
}

func (g *Grid) stop(outside bool, edge, margin int) int {
	if outside {
		return edge
	}
	return margin
}

func (g *Grid) save() { g.scr().saved = g.cursor }

func (g *Grid) restore() { g.cursor = g.scr().saved }

// window is XTWINOPS: only the title's stack; the reports are queries.
func (g *Grid) window(seq sequence) bool {
	return seq.private == 0 && seq.inter == "" && seq.final == 't' && (seq.num(0, 0) == 22 || seq.num(0, 0) == 23)
}

func (g *Grid) controlString(seq sequence) {
	if seq.final == '!' {
		g.complain("a control string of more than %d bytes", maxString)
		return
	}
	if g.OnString != nil {
		g.OnString(StringKind(seq.kind), seq.data)
	}
	switch StringKind(seq.kind) {
	case OSC:
		g.osc(string(seq.data))
	case DCS:
		g.dcs(seq.data)
	case APC:
		if len(seq.data) > 0 && seq.data[0] == 'G' {
			g.graphics(seq.data[1:])
		}
	}
}

func (g *Grid) osc(text string) {
	number, rest, _ := strings.Cut(text, ";")
	switch number {
	case "0", "2":
		g.title = strings.ToValidUTF8(rest[:min(len(rest), 1000)], "\uFFFD")
	case "10", "11":
		if rest == "?" {
			g.answerColour(number)
		}
	case "1", "8", "104", "110", "111", "112", "133":
	default:
		g.complain("unknown OSC %.20q", text)
	}
}
