package imprint

import (
	"strings"
	"unicode"
)

// cleanText is text of several lines, as files and people give it, without what
// does not belong into a file: bytes that are no UTF-8 become U+FFFD, ends of
// lines become \n, tabs blanks; other control characters and what XML 1.0 §2.2
// does not allow go.
func cleanText(s string) string {
	s = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u2028", "\n", "\u2029", "\n").Replace(strings.ToValidUTF8(s, "\uFFFD"))
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case r == '\t':
			return ' '
		case unicode.IsControl(r), r == '\uFEFF', r&0xFFFE == 0xFFFE:
			return -1
		}
		return r
	}, s)
	return strings.TrimSpace(s)
}

// cleanLine is cleanText on one line.
func cleanLine(s string) string {
	return strings.Join(strings.Fields(cleanText(s)), " ")
}

// plain makes the words of a library fit into a sentence for people: one short
// line.
func plain(s string) string {
	s = cleanLine(s)
	if r := []rune(s); len(r) > 100 {
		s = string(r[:100]) + "…"
	}
	return s
}

// cut shortens s to at most n bytes, between two characters.
func cut(s string, n int) string {
	if len(s) <= n {
		return s
	}
	for n > 0 && s[n]&0xC0 == 0x80 {
		n--
	}
	return strings.TrimSpace(s[:n])
}
