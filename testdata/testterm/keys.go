package testterm

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// KeyEvent is what happened to a key.
type KeyEvent int

// The numbers are those of kitty's keyboard protocol.
const (
	Press KeyEvent = 1 + iota
	Repeat
	Release
)

// Flags of kitty's keyboard protocol, "Progressive enhancement".
const (
	flagDisambiguate = 1 << iota
	flagEvents
	flagAlternates
	flagAllKeys
	flagText
)

// Modifiers, as both xterm and kitty count them (the number sent is one more).
const (
	modShift = 1 << iota
	modAlt
	modCtrl
)

// keyForm is how keys are encoded now: the keyboard flags and whether cursor
// keys are in application mode (DECCKM).
type keyForm struct {
	flags      int
	cursorKeys bool
}

// stroke is a key that was named: its number for CSI … u, or the number and
// final byte of its own sequence.
type stroke struct {
	code   int // unshifted
	text   string
	number int
	final  byte
	mods   int
}

// parseKey reads "k", "K", "?", "up", "shift+up", "ctrl+c", "alt+x", "f5".
func parseKey(name string) (stroke, error) {
	var s stroke
	for {
		head, rest, found := strings.Cut(name, "+")
		mod := map[string]int{"shift": modShift, "alt": modAlt, "ctrl": modCtrl}[head]
		if !found || mod == 0 || rest == "" {
			break
		}
		s.mods |= mod
		name = rest
	}
	if number, final, ok := functionKey(name); ok {
		s.number, s.final = number, final
		return s, nil
	}
	if name == "space" {
		name = " "
	}
	if code := map[string]int{"enter": 13, "tab": 9, "esc": 27, "backspace": 127}[name]; code != 0 {
		s.code = code
		return s, nil
	}
	r, size := utf8.DecodeRuneInString(name)
	if size == 0 || size != len(name) || r == utf8.RuneError {
		return s, fmt.Errorf("no key is named %q", name)
	}
	base, shifted := unshift(r)
	if shifted {
		s.mods |= modShift
	} else if s.mods&modShift != 0 {
		r = unicode.ToUpper(r)
	}
	s.code, s.text = int(base), string(r)
	return s, nil
}

// functionKey gives the number and final byte of CSI number final (xterm
// ctlseqs, "PC-Style Function Keys").
func functionKey(name string) (number int, final byte, ok bool) {
	if i := slices.Index([]string{"up", "down", "right", "left"}, name); i >= 0 {
		return 1, 'A' + byte(i), true
	}
	switch name {
	case "home":
		return 1, 'H', true
	case "end":
		return 1, 'F', true
	case "f1", "f2", "f4":
		return 1, 'P' + name[1] - '1', true
	}
	number = map[string]int{"insert": 2, "delete": 3, "pgup": 5, "pgdown": 6, "f3": 13, "f5": 15, "f6": 17,
		"f7": 18, "f8": 19, "f9": 20, "f10": 21, "f11": 23, "f12": 24}[name]
	return number, '~', number != 0
}

// unshift gives the key of a US keyboard that makes a character with Shift.
func unshift(r rune) (rune, bool) {
	const shifted, plain = `~!@#$%^&*()_+{}|:"<>?`, "`1234567890-=[]\\;',./"
	if i := strings.IndexRune(shifted, r); i >= 0 {
		return rune(plain[i]), true
	}
	return unicode.ToLower(r), unicode.IsUpper(r)
}

// encode gives the bytes a terminal sends; none for an event it does not tell.
func (f keyForm) encode(s stroke, e KeyEvent) []byte {
	if f.flags&flagEvents == 0 {
		if e == Release {
			return nil
		}
		e = Press
	}
	switch {
	case s.final != 0:
		return f.function(s, e)
	case s.text == "" && s.code != 27: // Enter, Tab, Backspace
		if f.flags&flagAllKeys != 0 || f.flags&flagDisambiguate != 0 && s.mods != 0 && e != Release {
			return f.unicode(s, e)
		}
		if e == Release { // "so that one can still type reset"
			return nil
		}
		return legacyText(s)
	case f.flags&flagAllKeys != 0, e == Release,
		f.flags&flagDisambiguate != 0 && (s.code == 27 || s.mods&^modShift != 0):
		return f.unicode(s, e)
	}
	return legacyText(s)
}

// function is CSI number ; modifiers : event final, as short as it can be.
func (f keyForm) function(s stroke, e KeyEvent) []byte {
	switch {
	case s.mods != 0 || e != Press:
		return fmt.Appendf(nil, "\x1b[%d;%s%c", s.number, modifiers(s.mods, e), s.final)
	case s.final == '~':
		return fmt.Appendf(nil, "\x1b[%d~", s.number)
	case f.flags == 0 && (f.cursorKeys || s.final >= 'P' && s.final <= 'S'):
		return []byte{0x1b, 'O', s.final}
	}
	return []byte{0x1b, '[', s.final}
}

// unicode is CSI code : shifted ; modifiers : event ; text u.
func (f keyForm) unicode(s stroke, e KeyEvent) []byte {
	code, text := fmt.Sprint(s.code), ""
	r, _ := utf8.DecodeRuneInString(s.text)
	if f.flags&flagAlternates != 0 && s.text != "" && int(r) != s.code {
		code += fmt.Sprintf(":%d", r)
	}
	if f.flags&flagText != 0 && s.text != "" && e != Release && s.mods&^modShift == 0 {
		text = fmt.Sprintf(";%d", r)
	}
	mods := ""
	if s.mods != 0 || e != Press {
		mods = ";" + modifiers(s.mods, e)
	} else if text != "" {
		mods = ";"
	}
	return []byte("\x1b[" + code + mods + text + "u")
}

func modifiers(mods int, e KeyEvent) string {
	if e == Press {
		return fmt.Sprint(1 + mods)
	}
	return fmt.Sprintf("%d:%d", 1+mods, e)
}

// legacyText is what terminals sent before there were protocols: Ctrl clears
// the upper bits, Alt puts ESC in front.
func legacyText(s stroke) []byte {
	out := []byte(s.text)
	if s.text == "" {
		out = []byte{byte(s.code)}
	}
	switch {
	case s.code == 9 && s.mods&modShift != 0:
		out = []byte("\x1b[Z")
	case s.code == 13 || s.code == 27:
	case s.mods&modCtrl != 0 && s.code == 127:
		out = []byte{8}
	case s.mods&modCtrl != 0 && len(out) == 1 && s.code != 9:
		out = []byte{byte(s.code) & 0x1f}
	}
	if s.mods&modAlt != 0 {
		out = append([]byte{0x1b}, out...)
	}
	return out
}
