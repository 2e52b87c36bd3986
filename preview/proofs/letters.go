package proofs

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf16"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/unicode/norm"
)

// latin are Latin letters that no decomposition makes simpler.
var latin = map[rune]string{
	'ł': "l", 'Ł': "L", 'đ': "d", 'Đ': "D", 'ħ': "h", 'Ħ': "H", 'ı': "i", 'ĸ': "k", 'ŋ': "ng", 'Ŋ': "NG", 'ŧ': "t", 'Ŧ': "T",
	'ẞ': "SS", 'ə': "e", 'Ə': "E", '\u2010': "-", '\u2011': "-", '\u2012': "–", '\u2015': "—", '\u2212': "–", '\u2032': "'", '\u2033': `"`,
}

// winAnsi is a clean text in WinAnsiEncoding (ISO 32000-1, D.2), and whether it is
// all there: letters beyond it lose their accents, and a word of others becomes one "?".
func winAnsi(s string) (codes []byte, whole bool) {
	whole, lost := true, false
	add := func(r rune) bool {
		// The codes of Windows 1252 are those of the encoding, but for control characters.
		c, ok := charmap.Windows1252.EncodeRune(r)
		if ok = ok && c >= 32 && !unicode.IsControl(r); ok {
			codes, lost = append(codes, c), false
		}
		return ok
	}
	for _, r := range norm.NFC.String(s) {
		if add(r) {
			continue
		}
		whole = false
		simple, known := latin[r]
		if !known {
			simple = strings.Map(func(r rune) rune {
				if unicode.Is(unicode.Mn, r) {
					return -1
				}
				return r
			}, norm.NFKD.String(string(r)))
		}
		fits := true
		for _, r := range simple {
			_, ok := charmap.Windows1252.EncodeRune(r)
			fits = fits && ok
		}
		switch {
		case fits:
			for _, r := range simple {
				add(r)
			}
		case !lost:
			codes, lost = append(codes, '?'), true
		}
	}
	return codes, whole
}

// literal is a string of codes as a PDF writes it (ISO 32000-1, 7.3.4.2).
func literal(codes []byte) string {
	var b strings.Builder
	b.WriteByte('(')
	for _, c := range codes {
		switch {
		case c == '(' || c == ')' || c == '\\':
			b.WriteByte('\\')
			b.WriteByte(c)
		case c < 32 || c > 126:
			fmt.Fprintf(&b, `\%03o`, c)
		default:
			b.WriteByte(c)
		}
	}
	b.WriteByte(')')
	return b.String()
}

// textString is a text outside of pages (ISO 32000-1, 7.9.2.2): UTF-16 with its
// byte order mark, in hexadecimal.
func textString(s string) string {
	var b strings.Builder
	b.WriteString("<FEFF")
	for _, u := range utf16.Encode([]rune(s)) {
		fmt.Fprintf(&b, "%04X", u)
	}
	b.WriteByte('>')
	return b.String()
}
