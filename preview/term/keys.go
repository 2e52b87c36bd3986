package term

import (
	"strconv"
	"unicode"
)

// Modifiers as the kitty keyboard protocol and xterm number them, less one.
// Caps lock (64) and num lock (128) are no part of a key's name.
const (
	modShift = 1 << iota
	modAlt
	modCtrl
	modSuper
	modHyper
	modMeta
)

// withMods puts the modifiers before a key's name.
func withMods(mods int, name string) string {
	s := ""
	for _, m := range [...]struct {
		bit  int
		name string
	}{{modCtrl, "ctrl+"}, {modAlt, "alt+"}, {modShift, "shift+"}, {modSuper, "super+"}, {modHyper, "hyper+"}, {modMeta, "meta+"}} {
		if mods&m.bit != 0 {
			s += m.name
		}
	}
	return s + name
}

// key emits a key that came without a word on repeating.
func (d *Decoder) key(mods int, name, text string) {
	d.emit(Key{Name: withMods(mods, name), Text: text, At: d.at})
}

// ascii emits the key of one byte below 0x80. Ctrl and a letter is one byte
// with tab, enter and esc; the key of that name is meant more often.
func (d *Decoder) ascii(mods int, b byte) {
	switch {
	case b == '\r':
		d.key(mods, "enter", "")
	case b == '\t':
		d.key(mods, "tab", "")
	case b == del || b == 0x08:
		d.key(mods, "backspace", "")
	case b == 0:
		d.key(mods|modCtrl, "space", "")
	case b < 0x1b:
		d.key(mods|modCtrl, string(rune(b+'a'-1)), "")
	case b < 0x20:
		d.key(mods|modCtrl, string(rune(b+0x40)), "")
	default:
		d.char(mods, rune(b))
	}
}

// char emits the key of a printable rune; others are not typed.
func (d *Decoder) char(mods int, r rune) {
	if !unicode.IsPrint(r) {
		return
	}
	name, text := string(r), string(r)
	if r == ' ' {
		name = "space"
	}
	if mods != 0 {
		text = ""
	}
	d.key(mods, name, text)
}

func functionKey(n int) string { return "f" + strconv.Itoa(n) }

// letterKey names the key of CSI … letter and of SS3 letter.
func letterKey(b byte) string {
	switch b {
	case 'A':
		return "up"
	case 'B':
		return "down"
	case 'C':
		return "right"
	case 'D':
		return "left"
	case 'E':
		return "begin"
	case 'F':
		return "end"
	case 'H':
		return "home"
	case 'P', 'Q', 'R', 'S':
		return functionKey(int(b-'P') + 1)
	}
	return ""
}

// numberKey names the key of CSI number ~.
func numberKey(n int) string {
	switch n {
	case 1, 7:
		return "home"
	case 2:
		return "insert"
	case 3:
		return "delete"
	case 4, 8:
		return "end"
	case 5:
		return "pgup"
	case 6:
		return "pgdown"
	case 57427:
		return "begin"
	}
	switch { // the gaps are where the VT220's keyboard had its own
	case n >= 11 && n <= 15:
		return functionKey(n - 10)
	case n >= 17 && n <= 21:
		return functionKey(n - 11)
	case n >= 23 && n <= 26:
		return functionKey(n - 12)
	case n == 28 || n == 29:
		return functionKey(n - 13)
	case n >= 31 && n <= 34:
		return functionKey(n - 14)
	}
	return ""
}

// Functional keys of the kitty keyboard protocol
// (sw.kovidgoyal.net/kitty/keyboard-protocol, "Functional key definitions").
const (
	kittyF13  = 57376
	kittyF35  = 57398
	keypad0   = 57399
	keypad9   = 57408
	keypadTop = 57426
	privateLo = 57344
	privateHi = 63743
)

// codeKey names the key of CSI code u. Text is "" where the key types none. Keys
// that say nothing by themselves (modifiers, locks, media keys) have no name.
func codeKey(code int) (name, text string) {
	switch code {
	case 8, 127:
		return "backspace", ""
	case 9:
		return "tab", ""
	case 13:
		return "enter", ""
	case 27:
		return "esc", ""
	case 32:
		return "space", " "
	case 57361:
		return "print", ""
	case 57362:
		return "pause", ""
	case 57363:
		return "menu", ""
	}
	if code >= kittyF13 && code <= kittyF35 {
		return functionKey(code - kittyF13 + 13), ""
	}
	if code >= keypad0 && code <= keypadTop {
		return keypad(code)
	}
	if code < 0x20 || code > unicode.MaxRune || code >= privateLo && code <= privateHi || !unicode.IsPrint(rune(code)) {
		return "", ""
	}
	return string(rune(code)), string(rune(code))
}

func keypad(code int) (name, text string) {
	if code <= keypad9 {
		name = strconv.Itoa(code - keypad0)
		return name, name
	}
	const signs = "./*-+\r=,"
	if i := code - keypad9 - 1; i < len(signs) {
		if signs[i] == '\r' {
			return "enter", ""
		}
		return signs[i : i+1], signs[i : i+1]
	}
	names := [...]string{"left", "right", "up", "down", "pgup", "pgdown", "home", "end", "insert", "delete"}
	return names[code-57417], ""
}
