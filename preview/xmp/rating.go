package xmp

import (
	"strconv"
	"strings"
)

// ParseReal reads a Real of ISO 16684-1 §8.2.1.4: an optional sign and digits
// with an optional fraction; no exponent. White space around it is ignored.
func ParseReal(s string) (float64, bool) {
	s = strings.Trim(s, " \t\r\n")
	digits := strings.TrimLeft(s, "+-")
	if len(s)-len(digits) > 1 || strings.Trim(digits, "0123456789.") != "" ||
		strings.Count(digits, ".") > 1 || strings.Trim(digits, ".") == "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// ParseRating reads an xmp:Rating (ISO 16684-1 §8.4): -1 for rejected, or 0
// (unrated) to 5. Other numbers are not ratings.
func ParseRating(s string) (float64, bool) {
	v, ok := ParseReal(s)
	return v, ok && (v == -1 || v >= 0 && v <= 5)
}

// ReadRating returns the rating in a packet or sidecar of at most MaxSize
// bytes; false where there is none, or none that can be read.
func ReadRating(packet []byte) (float64, bool) {
	d, err := Parse(packet)
	if err != nil {
		return 0, false
	}
	text, ok := d.Get(NSXMP, "Rating")
	if !ok {
		return 0, false
	}
	v, ok := ParseRating(text)
	if !ok {
		return 0, false
	}
	return v, true
}
