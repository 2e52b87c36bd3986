package term

import (
	"strings"
	"unicode"
)

// csi is a control sequence taken apart. Values that were left out are -1.
type csi struct {
	private byte // one of < = > ? before the parameters
	inter   string
	params  [][]int // each with its sub-parameters
}

const (
	maxValue = 1 << 30
	maxCount = 32 // parameters, and sub-parameters of each
)

func parseCSI(s string) (c csi, ok bool) {
	if s != "" && s[0] >= '<' && s[0] <= '?' {
		c.private, s = s[0], s[1:]
	}
	end := strings.IndexFunc(s, func(r rune) bool { return r < '0' })
	if end >= 0 {
		s, c.inter = s[:end], s[end:]
	}
	if s == "" {
		return c, true
	}
	for _, field := range strings.SplitN(s, ";", maxCount) {
		var sub []int
		for _, f := range strings.SplitN(field, ":", maxCount) {
			n := -1
			for _, b := range []byte(f) {
				if b < '0' || b > '9' {
					return c, false
				}
				n = min(max(n, 0)*10+int(b-'0'), maxValue)
			}
			sub = append(sub, n)
		}
		c.params = append(c.params, sub)
	}
	return c, true
}

// at returns a sub-parameter, or what stands for one that was left out.
func (c *csi) at(i, k, missing int) int {
	if i < 0 || i >= len(c.params) || k >= len(c.params[i]) || c.params[i][k] < 0 {
		return missing
	}
	return c.params[i][k]
}

func (c *csi) flat() []int {
	var out []int
	for i := range c.params {
		out = append(out, c.at(i, 0, 0))
	}
	return out
}

// sequence emits what a control sequence means. Only those without private
// markers and intermediate bytes are keys.
func (d *Decoder) sequence(params string, final byte) {
	c, ok := parseCSI(params)
	if !ok {
		return
	}
	if a, is := c.answer(final); is {
		a.At = d.at
		if a.Kind == AnswerUnknown {
			a.Text = "CSI " + params + string(rune(final))
		}
		d.emit(a)
		return
	}
	if c.private != 0 || c.inter != "" {
		return // mouse reports
	}
	mods, event := c.at(1, 0, 1)-1, c.at(1, 1, 1)
	switch {
	case final == 'Z':
		d.press(mods|modShift, "tab", "", event)
	case final == 'u':
		d.codeKey(&c)
	case final == '~' && c.at(0, 0, 0) == 27 && len(c.params) == 3: // xterm's modifyOtherKeys
		c.params = [][]int{c.params[2], c.params[1]}
		d.codeKey(&c)
	case final == '~' || final == '^':
		if final == '^' {
			mods |= modCtrl
		}
		d.press(mods, numberKey(c.at(0, 0, 0)), "", event)
	case final >= 'a' && final <= 'd' && len(c.params) == 0:
		d.press(modShift, letterKey(final-'a'+'A'), "", event)
	case final >= 'A' && final <= 'S' && c.at(0, 0, 1) == 1:
		d.press(mods, letterKey(final), "", event)
	}
}

// press emits a key unless it has no name or was let go.
func (d *Decoder) press(mods int, name, text string, event int) {
	if name == "" || event == 3 {
		return
	}
	d.emit(Key{Name: withMods(mods, name), Text: text, Repeat: event == 2, At: d.at})
}

// singleKey emits the key of SS3.
func (d *Decoder) singleKey(final byte) {
	c, ok := parseCSI(string(d.buf))
	if !ok {
		return
	}
	mods := max(c.at(len(c.params)-1, 0, 1)-1, 0)
	switch {
	case final == 'M':
		d.key(mods, "enter", "")
	case final >= 'a' && final <= 'd':
		d.press(mods|modCtrl, letterKey(final-'a'+'A'), "", 1)
	case final >= 'A' && final <= 'S':
		d.press(mods, letterKey(final), "", 1)
	}
}

// codeKey emits the key of CSI code:shifted:base ; modifiers:event ; text u.
func (d *Decoder) codeKey(c *csi) {
	mods, event := c.at(1, 0, 1)-1, c.at(1, 1, 1)
	if event == 3 {
		return
	}
	mods &= modShift | modAlt | modCtrl | modSuper | modHyper | modMeta
	if len(c.params) > 2 && mods&^modShift == 0 {
		if d.typed(c.params[2], event) {
			return
		}
	}
	name, text := codeKey(c.at(0, 0, 0))
	if text != "" && mods&modShift != 0 && mods&modCtrl == 0 {
		// A character is named as it is typed.
		r := rune(c.at(0, 1, 0))
		if r == 0 {
			r = unicode.ToUpper([]rune(text)[0])
		}
		if r != []rune(text)[0] && unicode.IsPrint(r) {
			name, text, mods = string(r), string(r), mods&^modShift
		} else if text == " " {
			mods &^= modShift
		}
	}
	if mods != 0 {
		text = ""
	}
	d.press(mods, name, text, event)
}

// typed emits one key for each rune that a key or an input method typed.
func (d *Decoder) typed(codes []int, event int) bool {
	any := false
	for _, code := range codes {
		if code >= 0x20 && code <= unicode.MaxRune && unicode.IsPrint(rune(code)) {
			any = true
			s := string(rune(code))
			name := s
			if s == " " {
				name = "space"
			}
			d.press(0, name, s, event)
		}
	}
	return any
}
