package exif

import (
	"strings"
	"time"

	"garner/preview/tiff"
)

// times takes the capture time: DateTimeOriginal with its own sub-seconds and
// zone, else DateTimeDigitized with its own. DateTime (0x0132) is when the file
// was last changed and is no witness.
func (w *walker) times(d *tiff.IFD) {
	for _, tags := range [2][3]uint16{{0x9003, 0x9291, 0x9011}, {0x9004, 0x9292, 0x9012}} {
		if w.m.Taken.Known() {
			return
		}
		w.m.Taken = ParseTime(d.Find(tags[0]).Text(), d.Find(tags[1]).Text(), d.Find(tags[2]).Text())
	}
}

// ParseTime reads Exif's `YYYY:MM:DD HH:MM:SS`, the digits of a sub-second tag and
// a zone `+HH:MM`. Blanks, zeros and dates that no calendar has give the zero Time:
// the file does not say.
func ParseTime(stamp, subsec, zone string) Time {
	var t Time
	n, ok := numbers(stamp)
	if !ok || n[0] < 1900 || n[3] > 23 || n[4] > 59 || n[5] > 59 {
		return t
	}
	frac, digits := fraction(subsec)
	wall := time.Date(n[0], time.Month(n[1]), n[2], n[3], n[4], n[5], frac, time.UTC)
	// time.Date turns a 30 February into March; the file meant neither.
	if wall.Month() != time.Month(n[1]) || wall.Day() != n[2] {
		return t
	}
	t.Wall, t.Digits = wall, digits
	t.Zone, t.HasZone = parseZone(zone)
	return t
}

// numbers splits a stamp into its six numbers.
func numbers(s string) (n [6]int, ok bool) {
	const form = "0000:00:00 00:00:00"
	if len(s) != len(form) {
		return n, false
	}
	field := 0
	for i := range len(form) {
		c := s[i]
		switch {
		case form[i] != '0':
			// Some writers put dashes or the T of ISO 8601.
			if c != form[i] && c != '-' && c != 'T' {
				return n, false
			}
			field++
		case c < '0' || c > '9':
			return n, false
		default:
			n[field] = n[field]*10 + int(c-'0')
		}
	}
	return n, true
}

// fraction reads sub-second digits: they are the decimal fraction, left-aligned,
// so a leading zero counts. More than nine are cut.
func fraction(s string) (nanos, digits int) {
	s = strings.TrimSpace(s)
	for digits < len(s) && digits < 9 && s[digits] >= '0' && s[digits] <= '9' {
		nanos = nanos*10 + int(s[digits]-'0')
		digits++
	}
	for range 9 - digits {
		nanos *= 10
	}
	return nanos, digits
}

// parseZone reads `+HH:MM` or `-HH:MM` (or Z) into minutes east of Greenwich. Zones
// in use run from -12:00 to +14:00.
func parseZone(s string) (minutes int, ok bool) {
	if s == "Z" {
		return 0, true
	}
	if len(s) != 6 || s[0] != '+' && s[0] != '-' || s[3] != ':' {
		return 0, false
	}
	for _, i := range []int{1, 2, 4, 5} {
		if s[i] < '0' || s[i] > '9' {
			return 0, false
		}
	}
	h, min := int(s[1]-'0')*10+int(s[2]-'0'), int(s[4]-'0')*10+int(s[5]-'0')
	minutes = h*60 + min
	if min > 59 || minutes > 14*60 {
		return 0, false
	}
	if s[0] == '-' {
		minutes = -minutes
	}
	return minutes, true
}
