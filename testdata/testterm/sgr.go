package testterm

// sgr is SELECT GRAPHIC RENDITION (ECMA-48 §8.3.117) with the colours of ITU-T
// T.416 in both spellings, 38;5;n and 38:5:n.
func (g *Grid) sgr(seq sequence) {
	if len(seq.params) == 0 {
		g.cursor.pen = Cell{}
		return
	}
	for i := 0; i < len(seq.params); i++ {
		group := seq.params[i]
		n := max(group[0], 0)
		switch {
		case n == 38 || n == 48 || n == 58:
			colour, used, ok := extendedColour(seq.params[i:])
			if !ok {
				g.complain("unknown colour in CSI %s", seq.describe())
				return
			}
			i += used
			*g.colourFor(n) = colour
		case n == 4 && len(group) > 1:
			g.cursor.pen.Underline = group[1] != 0
		case !g.attribute(n):
			g.complain("unknown rendition %d in CSI %s", n, seq.describe())
		}
	}
}

func (g *Grid) colourFor(n int) *Colour {
	switch n {
	case 38:
		return &g.cursor.pen.FG
	case 48:
		return &g.cursor.pen.BG
	}
	return &g.cursor.pen.Line
}

func (g *Grid) attribute(n int) bool {
	p := &g.cursor.pen
	switch n {
	case 0:
		*p = Cell{}
	case 1:
		p.Bold = true
	case 2:
		p.Dim = true
	case 3:
		p.Italic = true
	case 4, 21:
		p.Underline = true
	case 5, 6:
		p.Blink = true
	case 7:
		p.Reverse = true
	case 8:
		p.Hidden = true
	case 9:
		p.Strike = true
	case 22:
		p.Bold, p.Dim = false, false
	case 23:
		p.Italic = false
	case 24:
		p.Underline = false
	case 25:
		p.Blink = false
	case 27:
		p.Reverse = false
	case 28:
		p.Hidden = false
	case 29:
		p.Strike = false
	case 39:
		p.FG = Colour{}
	case 49:
		p.BG = Colour{}
	case 53:
		p.Overline = true
	case 55:
		p.Overline = false
	case 59:
		p.Line = Colour{}
	default:
		return g.basicColour(n)
	}
	return true
}

// basicColour is the sixteen colours: eight of ECMA-48, eight bright ones.
func (g *Grid) basicColour(n int) bool {
	p := &g.cursor.pen
	switch {
	case n >= 30 && n <= 37:
		p.FG = Indexed(uint8(n - 30))
	case n >= 40 && n <= 47:
		p.BG = Indexed(uint8(n - 40))
	case n >= 90 && n <= 97:
		p.FG = Indexed(uint8(n - 90 + 8))
	case n >= 100 && n <= 107:
		p.BG = Indexed(uint8(n - 100 + 8))
	default:
		return false
	}
	return true
}

// extendedColour reads the colour that begins at the first parameter and says
// how many parameters more it took.
func extendedColour(params [][]int) (c Colour, used int, ok bool) {
	values := params[0][1:]
	if len(values) == 0 { // semicolons: the values are parameters of their own
		for _, p := range params[1:] {
			values = append(values, p[0])
		}
		switch {
		case len(values) >= 2 && values[0] == 5:
			used = 2
		case len(values) >= 4 && values[0] == 2:
			used = 4
		default:
			return Colour{}, 0, false
		}
		values = values[:used]
	} else if len(values) >= 5 && values[0] == 2 { // 2:colour space:r:g:b
		values = append([]int{2}, values[2:5]...)
	}
	for _, v := range values[1:] {
		if v > 255 {
			return Colour{}, 0, false
		}
	}
	switch {
	case values[0] == 5 && len(values) == 2:
		return Indexed(uint8(max(values[1], 0))), used, true
	case values[0] == 2 && len(values) == 4:
		return RGB(uint8(max(values[1], 0)), uint8(max(values[2], 0)), uint8(max(values[3], 0))), used, true
	}
	return Colour{}, 0, false
}
