package cull

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// PortableName makes a name that every destination takes: no control characters,
// no bytes that are not UTF-8, none of the characters that Windows and exFAT
// refuse, no blank or dot at the end, none of the reserved device names (RFC
// 8493 section 6 lists them).
func PortableName(name string) string {
	var b strings.Builder
	for i := 0; i < len(name); {
		r, n := utf8.DecodeRuneInString(name[i:])
		if r == utf8.RuneError && n <= 1 || unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp) || strings.ContainsRune(`<>:"/\|?*`, r) {
			r = '_'
		}
		b.WriteRune(r)
		i += max(n, 1)
	}
	s := strings.TrimRight(b.String(), " .")
	stem, _, _ := strings.Cut(strings.ToUpper(s), ".")
	switch {
	case s == "" && name != "":
		return "_"
	case reservedNames[stem]:
		return "_" + s
	}
	return s
}

// reservedNames are those of devices.
var reservedNames = map[string]bool{
	"CON": true, "PRN": true, "AUX": true, "NUL": true,
	"COM1": true, "COM2": true, "COM3": true, "COM4": true, "COM5": true, "COM6": true, "COM7": true, "COM8": true, "COM9": true,
	"LPT1": true, "LPT2": true, "LPT3": true, "LPT4": true, "LPT5": true, "LPT6": true, "LPT7": true, "LPT8": true, "LPT9": true,
}
