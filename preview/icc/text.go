package icc

import (
	"encoding/binary"
	"strings"
	"unicode/utf16"
)

// This file reads the profile's name: multiLocalizedUnicodeType (ICC.1:2022 clause
// 10) and the textDescriptionType of version 2 (ICC.1:2001-04 clause 6.5.17).

// MaxText is the longest description that is kept, in bytes.
const MaxText = 128

// text returns what a description tag says in its first language; "" for none.
// It is as untrusted as the profile.
func text(b []byte) string {
	if len(b) < 12 {
		return ""
	}
	s := ""
	switch string(b[:4]) {
	case "desc":
		n := int64(binary.BigEndian.Uint32(b[8:]))
		s = string(b[12:][:min(n, int64(len(b)-12), MaxText)])
	case "mluc":
		s = localized(b)
	}
	if i := strings.IndexByte(s, 0); i >= 0 {
		s = s[:i]
	}
	s = strings.ToValidUTF8(s, "\uFFFD")
	for len(s) > MaxText {
		s = strings.ToValidUTF8(s[:MaxText], "")
	}
	return strings.TrimSpace(s)
}

// localized returns the first record of a multiLocalizedUnicodeType.
func localized(b []byte) string {
	if len(b) < 28 || binary.BigEndian.Uint32(b[8:]) == 0 || binary.BigEndian.Uint32(b[12:]) != 12 {
		return ""
	}
	n, off := int64(binary.BigEndian.Uint32(b[20:])), int64(binary.BigEndian.Uint32(b[24:]))
	if off > int64(len(b)) || n > int64(len(b))-off {
		return ""
	}
	b = b[off:][:min(n, MaxText)]
	units := make([]uint16, len(b)/2)
	for i := range units {
		units[i] = binary.BigEndian.Uint16(b[2*i:])
	}
	return string(utf16.Decode(units))
}
