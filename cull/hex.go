package cull

import "strings"

// minPrefix is the shortest part of an id that may stand for it: 24 bits, so
// that in a job of thousands a typing error rarely meets another frame.
const minPrefix = 6

func isBlank(c byte) bool { return c == ' ' || c == '\t' }

func isHex(s string) bool {
	for i := range len(s) {
		if _, ok := hexDigit(s[i]); !ok {
			return false
		}
	}
	return s != ""
}

// hex16 reads \uXXXX at the start of s.
func hex16(s string) (u uint16, ok bool) {
	if len(s) < 6 || s[0] != '\\' || s[1] != 'u' {
		return 0, false
	}
	for _, c := range []byte(s[2:6]) {
		d, ok := hexDigit(c)
		if !ok {
			return 0, false
		}
		u = u<<4 | uint16(d)
	}
	return u, true
}

func hexDigit(c byte) (d byte, ok bool) {
	switch {
	case c >= '0' && c <= '9':
		return c - '0', true
	case c >= 'a' && c <= 'f':
		return c - 'a' + 10, true
	case c >= 'A' && c <= 'F':
		return c - 'A' + 10, true
	}
	return 0, false
}

// isID reports whether s has the form of a frame's id.
func isID(s string) bool { return len(s) == 16 && isHex(s) && s == strings.ToLower(s) }
