package term

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

const pasteEnd = "\x1b[201~"

// stepPaste collects pasted text up to its end mark. Of text that is too long
// the last bytes are kept apart, since the mark must be found all the same.
func (d *Decoder) stepPaste(b byte) {
	// d.skip counts how much of the end mark has been seen.
	if b == pasteEnd[d.skip] {
		if d.skip++; d.skip == len(pasteEnd) {
			d.paste()
		}
		return
	}
	for _, c := range []byte(pasteEnd[:d.skip]) {
		d.collect(c, maxString)
	}
	d.skip = 0
	if b == esc {
		d.skip = 1
		return
	}
	d.collect(b, maxString)
}

func (d *Decoder) paste() {
	text := plainText(d.buf)
	d.skip = 0
	d.reset()
	d.emit(Paste{Text: text, At: d.at})
}

// plainText leaves printable runes, tabs and line ends.
func plainText(p []byte) string {
	var s strings.Builder
	for len(p) > 0 {
		r, size := utf8.DecodeRune(p)
		cr := r == '\r'
		switch {
		case r == utf8.RuneError && size == 1:
		case cr || r == '\n':
			s.WriteByte('\n')
		case r == '\t' || unicode.IsPrint(r):
			s.WriteRune(r)
		}
		p = p[size:]
		if cr && len(p) > 0 && p[0] == '\n' {
			p = p[1:]
		}
	}
	return s.String()
}
