package xmp

import (
	"strconv"
	"strings"
)

const (
	cdataOpen  = "<![CDATA["
	cdataClose = "]]>"
)

// lineEnds reads CR LF and CR as LF (XML 1.0 §2.11). It holds no state.
var lineEnds = strings.NewReplacer("\r\n", "\n", "\r", "\n")

// reference reads the reference at the start of s ("&lt;", "&#65;", "&#x41;")
// and returns its text and length; length 0 means that it is none. Only XML's
// own five entities exist, because a document type declaration is refused.
func reference(s string) (string, int) {
	const longest = 16 // leaves room for leading zeros, bounds the search
	end := strings.IndexByte(s[:min(len(s), longest)], ';')
	if end < 2 {
		return "", 0
	}
	switch body := s[1:end]; body {
	case "lt":
		return "<", end + 1
	case "gt":
		return ">", end + 1
	case "amp":
		return "&", end + 1
	case "apos":
		return "'", end + 1
	case "quot":
		return `"`, end + 1
	default:
		if body[0] != '#' || len(body) < 2 {
			return "", 0
		}
		digits, base := body[1:], 10
		if digits[0] == 'x' {
			digits, base = digits[1:], 16
		}
		if digits == "" || digits[0] == '+' || digits[0] == '-' {
			return "", 0
		}
		v, err := strconv.ParseUint(digits, base, 32)
		if err != nil || v > 0x10FFFF || !isChar(rune(v)) {
			return "", 0
		}
		return string(rune(v)), end + 1
	}
}

// unescape gives the value of character data; where attr is set, that of an
// attribute: literal line ends and tabs are spaces there (XML 1.0 §3.3.3).
func unescape(raw string, attr bool) string {
	if !strings.ContainsAny(raw, "&\r\n\t") {
		return raw
	}
	var out strings.Builder
	for i := 0; i < len(raw); {
		switch c := raw[i]; {
		case c == '&':
			text, n := reference(raw[i:])
			out.WriteString(text)
			i += max(n, 1)
			continue
		case c == '\r':
			// XML 1.0 §2.11: CR LF and CR are read as LF.
			if i+1 < len(raw) && raw[i+1] == '\n' {
				i++
			}
			if attr {
				out.WriteByte(' ')
			} else {
				out.WriteByte('\n')
			}
		case attr && (c == '\n' || c == '\t'):
			out.WriteByte(' ')
		default:
			out.WriteByte(c)
		}
		i++
	}
	return out.String()
}

// escapeText writes a value as character data of an element.
func escapeText(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", "\r", "&#13;").Replace(s)
}

// escapeAttr writes a value for an attribute within the given quotes.
func escapeAttr(s string, quote byte) string {
	pairs := []string{"&", "&amp;", "<", "&lt;", "\r", "&#13;", "\n", "&#10;", "\t", "&#9;"}
	if quote == '"' {
		pairs = append(pairs, `"`, "&quot;")
	} else {
		pairs = append(pairs, "'", "&apos;")
	}
	return strings.NewReplacer(pairs...).Replace(s)
}
