package cull

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Plain makes a string out of a file safe to print: control characters (C0, DEL,
// C1), bidirectional and zero-width marks and bytes that are not UTF-8 are shown
// as escapes. (ECMA-48 for the controls; the marks are those of CVE-2021-42574.)
func Plain(s string) string {
	clean := true
	for _, r := range s {
		if r == utf8.RuneError || hidden(r) {
			clean = false
			break
		}
	}
	if clean {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n <= 1, r < 0x100 && hidden(r):
			if n <= 1 {
				fmt.Fprintf(&b, `\x%02x`, s[i])
			} else {
				fmt.Fprintf(&b, `\u%04x`, r)
			}
		case hidden(r):
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteString(s[i : i+n])
		}
		i += n
	}
	return b.String()
}

// hidden reports characters that change a terminal's state or hide text.
func hidden(r rune) bool {
	switch {
	case unicode.IsControl(r), r == 0xFEFF, r == 0x061C:
		return true
	case r >= 0x200B && r <= 0x200F, r >= 0x2028 && r <= 0x202E, r >= 0x2060 && r <= 0x206F:
		return true
	case r >= 0xE0000 && r <= 0xE007F: // tag characters
		return true
	}
	return false
}
