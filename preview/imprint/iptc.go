package imprint

import (
	"crypto/md5"
	"encoding/binary"
	"strings"
)

// This file writes IPTC-IIM (version 4.2) into the image resource that JPEGs have
// had it in ever since, because labs and picture desks read it there.

// dataset is a field of record 2 with the most bytes that the standard gives it.
type dataset struct {
	number byte
	limit  int
	name   string
	value  string
}

// iptc returns the image resource, and which fields are longer than the standard
// has room for and were shortened: XMP has them whole.
func iptc(m *Meta) (resource []byte, shortened []string) {
	var iim []byte
	add := func(record, number byte, value string) {
		iim = append(iim, 0x1C, record, number)
		iim = append(binary.BigEndian.AppendUint16(iim, uint16(len(value))), value...)
	}
	fields := []dataset{{5, 64, "title", m.Title}}
	for _, k := range m.Keywords {
		fields = append(fields, dataset{25, 64, "keyword", k})
	}
	if m.Taken.Known() {
		fields = append(fields, dataset{55, 8, "", m.Taken.Wall.Format("20060102")})
		if m.Taken.HasZone { // 2:60 has no form without one
			fields = append(fields, dataset{60, 11, "", m.Taken.Wall.Format("150405") + strings.Replace(zone(m.Taken), ":", "", 1)})
		}
	}
	fields = append(fields, dataset{80, 32, "creator", m.Creator}, dataset{110, 32, "credit", m.Credit},
		dataset{116, 128, "copyright", m.Copyright}, dataset{120, 2000, "caption", m.Caption})

	add(1, 90, "\x1B%G") // all text is UTF-8
	add(2, 0, "\x00\x04")
	any := false
	for _, f := range fields {
		if f.value == "" {
			continue
		}
		v := cut(f.value, f.limit)
		if len(v) < len(f.value) && (len(shortened) == 0 || shortened[len(shortened)-1] != f.name) {
			shortened = append(shortened, f.name)
		}
		if len(iim)+len(v) > maxIIM { // of keywords alone there may be so many
			shortened = append(shortened, "keywords")
			break
		}
		add(2, f.number, v)
		any = true
	}
	if !any {
		return nil, nil
	}
	// The digest says that XMP and IIM were written together, so that neither is
	// newer than the other (guidelines of the Metadata Working Group, from memory).
	digest := md5.Sum(iim)
	return append(imageResource(0x0404, iim), imageResource(0x0425, digest[:])...), shortened
}

// maxIIM leaves room for the resource around it.
const maxIIM = 60000

// imageResource is one block: signature, number, an empty name, length, data of
// an even length.
func imageResource(id uint16, data []byte) []byte {
	b := binary.BigEndian.AppendUint16([]byte("8BIM"), id)
	b = append(b, 0, 0)
	b = append(binary.BigEndian.AppendUint32(b, uint32(len(data))), data...)
	if len(data)%2 != 0 {
		b = append(b, 0)
	}
	return b
}
