package term

import (
	"strconv"
	"strings"
	"unicode"
)

// answer says what a control sequence answers; is is false for keys and for
// what is dropped in silence.
func (c *csi) answer(final byte) (a Answer, is bool) {
	switch {
	case c.private == '?' && c.inter == "" && final == 'c':
		return Answer{Kind: AnswerAttributes, Params: c.flat()}, true
	case c.private == '>' && c.inter == "" && final == 'c':
		return Answer{Kind: AnswerDevice, Params: c.flat()}, true
	case c.private == '?' && c.inter == "" && final == 'u':
		return Answer{Kind: AnswerKeyboard, Params: c.flat()}, true
	case c.private == '?' && c.inter == "$" && final == 'y':
		v := c.at(1, 0, 0)
		return Answer{Kind: AnswerMode, ID: uint32(c.at(0, 0, 0)), OK: v >= 1 && v <= 3}, true
	case c.private == '?' && c.inter == "" && final == 'S':
		p := c.flat()
		if len(p) < 2 {
			return a, true
		}
		return Answer{Kind: AnswerLimit, ID: uint32(p[0]), OK: p[1] == 0, Params: p[2:]}, true
	case c.private == '<' && (final == 'M' || final == 'm'):
		return a, false // mouse
	case c.private != 0 || c.inter != "":
		return a, true
	}
	switch final {
	case 'n':
		if len(c.params) == 1 && c.at(0, 0, -1) == 0 {
			a.Kind = AnswerFence
		}
		return a, true
	case 't':
		if len(c.params) == 3 {
			a.Height, a.Width = c.at(1, 0, 0), c.at(2, 0, 0)
			switch c.at(0, 0, 0) {
			case 4:
				a.Kind = AnswerWindow
			case 6:
				a.Kind = AnswerCell
			case 8:
				a.Kind = AnswerText
			}
		}
		return a, true
	case 'R':
		// A place of the cursor looks like f3 with modifiers; f3 alone has
		// no parameters, and newer terminals send it as CSI 13 ~.
		return a, len(c.params) > 0
	case 'c', 'x', 'y':
		return a, true
	}
	return a, false
}

// answerString emits what a control string says.
func (d *Decoder) answerString(kind byte, text string) {
	a := Answer{At: d.at}
	switch {
	case kind == '_' && strings.HasPrefix(text, "G"):
		keys, msg, _ := strings.Cut(text[1:], ";")
		a.Kind, a.Text, a.OK = AnswerGraphics, printable(msg), msg == "OK"
		for _, kv := range strings.Split(keys, ",") {
			if v, ok := strings.CutPrefix(kv, "i="); ok {
				n, _ := strconv.ParseUint(v, 10, 32)
				a.ID = uint32(n)
			}
		}
	case kind == 'P' && strings.HasPrefix(text, ">|"):
		a.Kind, a.Text = AnswerVersion, printable(text[2:])
	case kind == 'P' && strings.HasPrefix(text, "1$r"):
		a.Kind, a.Text = AnswerSettings, printable(text[3:])
	case kind == ']' && strings.HasPrefix(text, "11;"):
		var ok bool
		if a.Red, a.Green, a.Blue, ok = parseColour(text[3:]); ok {
			a.Kind = AnswerBackground
		}
	}
	if a.Kind == AnswerUnknown {
		a.Text = "ESC " + string(rune(kind)) + printable(text)
	}
	d.emit(a)
}

// printable cuts what a terminal says to a length that may be shown, and takes
// out what would act on the terminal if it was.
func printable(s string) string {
	s = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) || r == unicode.ReplacementChar {
			return -1
		}
		return r
	}, s[:min(len(s), 256)])
	return s
}

// parseColour reads rgb:R/G/B of one to four digits each, as XParseColor
// does, and rgba: with an alpha that does not count.
func parseColour(s string) (r, g, b uint16, ok bool) {
	s, ok = strings.CutPrefix(s, "rgb")
	if !ok {
		return
	}
	s = strings.TrimPrefix(s, "a")
	s, ok = strings.CutPrefix(s, ":")
	parts := strings.Split(s, "/")
	if !ok || len(parts) < 3 {
		return 0, 0, 0, false
	}
	var v [3]uint16
	for i := range v {
		n, err := strconv.ParseUint(parts[i], 16, 16)
		if err != nil || len(parts[i]) > 4 {
			return 0, 0, 0, false
		}
		v[i] = uint16(n * 0xffff / (1<<(4*len(parts[i])) - 1))
	}
	return v[0], v[1], v[2], true
}
