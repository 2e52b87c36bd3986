package finished

import (
	"bytes"
	"encoding/binary"
	"strings"
)

// This file reads the few data sets of IPTC-IIM (version 4.2) that photographers
// fill in, and finds them among the image resources that carry them.

// iptcResource returns the data of resource 0x0404. A resource is "8BIM", its number,
// a name whose length is a byte and which is padded to an even number, a length of
// four bytes and data that are padded too.
func iptcResource(b []byte) []byte {
	for len(b) >= 12 && bytes.HasPrefix(b, []byte("8BIM")) {
		id := binary.BigEndian.Uint16(b[4:])
		name := (1 + int(b[6]) + 1) &^ 1
		if len(b) < 6+name+4 {
			return nil
		}
		n := int64(binary.BigEndian.Uint32(b[6+name:]))
		b = b[6+name+4:]
		if n > int64(len(b)) {
			return nil
		}
		if id == 0x0404 {
			return b[:n:n]
		}
		b = b[min(n+n&1, int64(len(b))):]
	}
	return nil
}

// iptc takes the texts of records 1 and 2. A data set is 0x1C, record, number, and
// a length of two bytes; longer ones (§1.5.7) are not of the kind that is wanted.
func (m *Meta) iptc(b []byte) {
	coded := false
	var keywords, creators []string
	text := func(v []byte) string {
		s := ""
		if coded {
			s = strings.ToValidUTF8(string(v), "\uFFFD")
		} else {
			s = anyText(v)
		}
		return strings.TrimSpace(strings.TrimRight(s, "\x00"))
	}
	for len(b) >= 5 && b[0] == 0x1C {
		record, set, n := b[1], b[2], int(binary.BigEndian.Uint16(b[3:]))
		if n >= 0x8000 || n > len(b)-5 {
			break
		}
		v := b[5 : 5+n]
		b = b[5+n:]
		switch {
		case record == 1 && set == 90: // §1.6: what switches to UTF-8 in ISO 2022
			coded = string(v) == "\x1b%G"
		case record != 2:
		case set == 5:
			setText(&m.Title, text(v))
		case set == 25 && len(keywords) < maxKeywords:
			keywords = append(keywords, text(v))
		case set == 80 && len(creators) < maxSources:
			if c := text(v); c != "" {
				creators = append(creators, c)
			}
		case set == 110:
			setText(&m.Credit, text(v))
		case set == 116:
			setText(&m.Copyright, text(v))
		case set == 120:
			setText(&m.Caption, text(v))
		}
	}
	setText(&m.Creator, strings.Join(creators, "; "))
	if m.Keywords == nil {
		m.Keywords = keywords
	}
}
