package testterm

import "image"

// edit is erasing, inserting and deleting (ECMA-48 §8.3). Erasing leaves the
// cursor where it is but ends a pending wrap, as xterm does: what is written
// next goes into the last column again.
func (g *Grid) edit(seq sequence) bool {
	c, s := &g.cursor, g.scr()
	n, what := seq.num(0, 1), seq.num(0, 0)
	line := s.lines[c.row]
	switch seq.final {
	case 'K': // EL
		switch what {
		case 0:
			g.erase(line, c.col, g.cols)
		case 1:
			g.erase(line, 0, c.col+1)
		case 2:
			g.erase(line, 0, g.cols)
		default:
			return false
		}
	case 'J': // ED
		return g.eraseDisplay(what)
	case 'X': // ECH
		g.erase(line, c.col, min(c.col+n, g.cols))
	case '@': // ICH
		n = min(n, g.cols-c.col)
		g.tear(line, c.col, g.cols)
		copy(line[c.col+n:], line[c.col:])
		g.fill(line[c.col : c.col+n])
		mendEnd(line)
	case 'P': // DCH
		n = min(n, g.cols-c.col)
		g.tear(line, c.col, c.col+n)
		copy(line[c.col:], line[c.col+n:])
		g.fill(line[g.cols-n:])
	case 'L', 'M': // IL, DL
		if c.row < s.top || c.row > s.bottom {
			return true
		}
		if seq.final == 'L' {
			n = -n
		}
		g.scroll(c.row, s.bottom, n)
		c.col = 0
	case 'S': // SU
		g.scroll(s.top, s.bottom, n)
		return true
	case 'T': // SD
		g.scroll(s.top, s.bottom, -n)
		return true
	case 'g': // TBC
		switch what {
		case 0:
			delete(g.tabs, c.col)
		case 3:
			clear(g.tabs)
		}
		return true
	default:
		return false
	}
	c.pending = false
	return true
}

// eraseDisplay is ED. Clearing the whole screen takes the pictures on it away
// too (kitty graphics protocol, "Interaction with other terminal actions").
func (g *Grid) eraseDisplay(what int) bool {
	c, s := &g.cursor, g.scr()
	from, to := 0, g.rows
	switch what {
	case 0:
		g.erase(s.lines[c.row], c.col, g.cols)
		from = c.row + 1
	case 1:
		g.erase(s.lines[c.row], 0, c.col+1)
		to = c.row
	case 2:
		s.images.clear(image.Rect(0, 0, g.cols, g.rows))
	case 3: // the scrollback, which is not kept
		return true
	default:
		return false
	}
	for _, line := range s.lines[from:to] {
		g.fill(line)
	}
	c.pending = false
	return true
}

func (g *Grid) erase(line []Cell, from, to int) {
	g.tear(line, from, to)
	g.fill(line[from:to])
}

func (g *Grid) fill(cells []Cell) {
	for i := range cells {
		cells[i] = blank(g.cursor.pen)
	}
}
