package cull

import (
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// quote writes s as one JSON string (RFC 8259 §7) without control, format or
// bidirectional characters. A byte that is not UTF-8 becomes the lone low
// surrogate \udcXX: valid JSON grammar that no UTF-8 text can produce, so every
// file name comes back byte for byte.
func quote(s string) string {
	var b strings.Builder
	b.Grow(len(s) + 2)
	b.WriteByte('"')
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			writeEscape(&b, 0xdc00+uint16(s[i]))
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteByte(byte(r))
		case unicode.IsPrint(r): // leaves out Cc, Cf, Zl, Zp: nothing that moves a cursor or turns text
			b.WriteRune(r)
		case r >= 0x10000:
			hi, lo := utf16.EncodeRune(r)
			writeEscape(&b, uint16(hi))
			writeEscape(&b, uint16(lo))
		default:
			writeEscape(&b, uint16(r))
		}
		i += n
	}
	b.WriteByte('"')
	return b.String()
}

func writeEscape(b *strings.Builder, u uint16) {
	const hex = "0123456789abcdef"
	b.WriteString(`\u`)
	for shift := 12; shift >= 0; shift -= 4 {
		b.WriteByte(hex[u>>shift&15])
	}
}

// unquote reads the JSON string at the start of s and returns it with the
// number of bytes it took. It undoes quote and accepts every JSON escape.
func unquote(s string) (text string, n int, err error) {
	if s == "" || s[0] != '"' {
		return "", 0, badLine("a quoted text begins with \"")
	}
	var b strings.Builder
	for i := 1; i < len(s); {
		switch c := s[i]; {
		case c == '"':
			return b.String(), i + 1, nil
		case c == '\\':
			used, err := unescape(&b, s[i:])
			if err != nil {
				return "", 0, err
			}
			i += used
		default:
			r, size := utf8.DecodeRuneInString(s[i:])
			if r == utf8.RuneError && size == 1 || unicode.IsControl(r) {
				return "", 0, badLine("a quoted text holds a byte that must be escaped")
			}
			b.WriteString(s[i : i+size])
			i += size
		}
	}
	return "", 0, badLine("a quoted text has no end")
}

// unescape reads one escape at the start of s into b.
func unescape(b *strings.Builder, s string) (n int, err error) {
	if len(s) < 2 {
		return 0, badLine("a quoted text has no end")
	}
	const letters, bytes = `"\/bfnrt`, "\"\\/\b\f\n\r\t"
	if k := strings.IndexByte(letters, s[1]); k >= 0 {
		b.WriteByte(bytes[k])
		return 2, nil
	}
	u, ok := hex16(s)
	if !ok {
		return 0, badLine("a quoted text holds an escape that JSON does not know")
	}
	switch {
	case u < 0xd800 || u > 0xdfff:
		b.WriteRune(rune(u))
		return 6, nil
	case u >= 0xdc80 && u <= 0xdcff:
		b.WriteByte(byte(u - 0xdc00))
		return 6, nil
	}
	if lo, ok := hex16(s[6:]); ok {
		if r := utf16.DecodeRune(rune(u), rune(lo)); r != utf8.RuneError {
			b.WriteRune(r)
			return 12, nil
		}
	}
	return 0, badLine("a quoted text holds half a character")
}

// checkText refuses what could act on a terminal or hide in a log.
func checkText(s string) error {
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		if r == utf8.RuneError && n == 1 {
			return badLine("the line is not UTF-8; write such a name in quotes with \\udcXX for the byte XX")
		}
		if r != '\t' && r != ' ' && (unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp)) {
			return badLine("the line holds a control or format character; write it in quotes as \\uXXXX")
		}
		i += n
	}
	return nil
}
