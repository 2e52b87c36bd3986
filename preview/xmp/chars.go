package xmp

// This file implements the character classes of XML 1.0 (fifth edition), §2.2
// and §2.3.

func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }

// isChar reports whether XML allows the character.
func isChar(r rune) bool {
	return r == '\t' || r == '\n' || r == '\r' || r >= 0x20 && r <= 0xD7FF ||
		r >= 0xE000 && r <= 0xFFFD || r >= 0x10000 && r <= 0x10FFFF
}

// isNameStart is production [4] without the colon, which namespaces reserve.
func isNameStart(r rune) bool {
	switch {
	case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r == '_':
		return true
	case r < 0xC0:
		return false
	}
	return r != 0xD7 && r != 0xF7 && r <= 0x2FF || r >= 0x370 && r <= 0x1FFF && r != 0x37E ||
		r == 0x200C || r == 0x200D || r >= 0x2070 && r <= 0x218F || r >= 0x2C00 && r <= 0x2FEF ||
		r >= 0x3001 && r <= 0xD7FF || r >= 0xF900 && r <= 0xFDCF || r >= 0xFDF0 && r <= 0xFFFD ||
		r >= 0x10000 && r <= 0xEFFFF
}

// isNamePart is production [4a] without the colon.
func isNamePart(r rune) bool {
	return isNameStart(r) || r >= '0' && r <= '9' || r == '-' || r == '.' || r == 0xB7 ||
		r >= 0x300 && r <= 0x36F || r == 0x203F || r == 0x2040
}

// isNCName reports whether s is a name without a colon.
func isNCName(s string) bool {
	for i, r := range s {
		if i == 0 && !isNameStart(r) || !isNamePart(r) {
			return false
		}
	}
	return s != ""
}

// validText reports whether every character of s may stand in XML at all.
func validText(s string) bool {
	if firstInvalid(s) < len(s) {
		return false
	}
	for _, r := range s {
		if !isChar(r) {
			return false
		}
	}
	return true
}

func allSpace(s string) bool {
	for i := range len(s) {
		if !isSpace(s[i]) {
			return false
		}
	}
	return true
}
