package term

// EnableKeys turns on bracketed paste and, where the terminal has the kitty
// keyboard protocol, the reporting of held keys: disambiguate (1), event types
// (2), all keys as escape codes (8) and the text they type (16). The
// alternate screen has its own stack of these flags, so it must be open by
// then.
func EnableKeys(c Caps) []byte {
	if c.KeyEvents {
		return []byte("\x1b[?2004h\x1b[>27u")
	}
	return []byte("\x1b[?2004h")
}

// DisableKeys takes back what EnableKeys did; before the alternate screen is
// left.
func DisableKeys() []byte { return []byte("\x1b[<1u\x1b[?2004l") }

// Reset is what leaves a terminal usable after anything, also where the program
// broke off in the middle of a picture. Pictures go with the alternate screen.
func Reset() []byte {
	return []byte("\x1b\\" + // ends a string that was begun
		"\x1b[?2026l" + // show what was held back
		"\x1b[<1u" + // on the screen where it was pushed, so before that is left
		"\x1b[?2004l" +
		"\x1b[?1000l\x1b[?1002l\x1b[?1003l\x1b[?1006l\x1b[?1004l" + // mouse and focus
		"\x1b[?7h" + // lines wrap
		"\x1b[m" +
		"\x1b[?1049l" +
		"\x1b[?25h")
}
