package proofs

import (
	"fmt"
	"strings"
)

// SmallName is where a picture of that number lies for the grid: its letters are
// safe in addresses and on every file system. Numbers that differ in nothing but
// case, or in "/", " " and "-", get one name; a Page with two such numbers is refused.
func SmallName(number string) string { return "small/" + slug(number) + ".jpg" }

// LargeName is where a picture of that number lies for the view.
func LargeName(number string) string { return "large/" + slug(number) + ".jpg" }

// SheetName is the name of the contact sheets on that paper.
func SheetName(p Paper) string { return "contact-" + p.String() + ".pdf" }

// slug is a number in letters, digits, "-" and "_" alone.
func slug(number string) string {
	var b strings.Builder
	for _, r := range cleanLine(number) {
		switch {
		case r >= '0' && r <= '9', r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r == '-':
			b.WriteRune(r)
		case r == '/', r == ' ':
			b.WriteByte('-')
		default:
			fmt.Fprintf(&b, "_%x_", r)
		}
	}
	if s := b.String(); s != "" && !device(s) {
		return s
	}
	return b.String() + "_"
}

// device reports whether Windows takes a name for a device, whatever its ending
// ("Naming Files, Paths, and Namespaces", Microsoft).
func device(s string) bool {
	switch s = strings.ToLower(s); s {
	case "con", "prn", "aux", "nul":
		return true
	}
	return len(s) == 4 && (s[:3] == "com" || s[:3] == "lpt") && s[3] >= '0' && s[3] <= '9'
}
