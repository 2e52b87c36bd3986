package proofs

import (
	"strings"
	"unicode"
)

// reorder are the marks that change the order of the text around them (Unicode
// Standard Annex 9, table 4). Isolating elements do their work here.
const reorder = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"

// cleanLine is a text on one line, without what no page should hold: bytes that
// are no UTF-8 become U+FFFD, white space becomes single blanks; control characters,
// marks that reorder, and what XML 1.0 §2.2 does not allow go.
func cleanLine(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r), r == '\u2028', r == '\u2029':
			return ' '
		case unicode.IsControl(r), strings.ContainsRune(reorder, r), r == '\uFEFF', r&0xFFFE == 0xFFFE:
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.Join(strings.Fields(s), " ")
}

// paragraphs are the lines of a text that are not empty.
func paragraphs(s string) []string {
	var out []string
	for line := range strings.Lines(strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u2028", "\n", "\u2029", "\n").Replace(s)) {
		if line = cleanLine(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}
