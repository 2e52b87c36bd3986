package icc

import (
	"encoding/binary"
	"math"
)

// This file writes profiles to embed: a few hundred bytes that every reader of
// ICC.1:2001-04, version 2.4, knows. All of them are display profiles of curves and a
// matrix.

// curveEntries is the length of sRGB's curve in a profile. With so many each code of 8
// bits has its own, and what lies between is right to 0.02 codes.
const curveEntries = 256

// Encode returns a profile of the space, the same bytes each time.
func Encode(s Space) []byte {
	curve := binary.BigEndian.AppendUint32([]byte("curv\x00\x00\x00\x00"), curveEntries)
	if s == SpaceAdobeRGB {
		curve = []byte("curv\x00\x00\x00\x00\x00\x00\x00\x01\x02\x33\x00\x00") // 2 51/256
	} else {
		for i := range curveEntries {
			curve = binary.BigEndian.AppendUint16(curve, uint16(math.Round(65535*s.Light(float64(i)/(curveEntries-1)))))
		}
	}
	w := d50()
	p := s.columns()
	return layOut([]tag{
		{"desc", describe(s.String())},
		{"cprt", []byte("text\x00\x00\x00\x00No copyright is claimed.\x00")},
		{"wtpt", xyzTag(w)},
		{"rXYZ", xyzTag(p[0])}, {"gXYZ", xyzTag(p[1])}, {"bXYZ", xyzTag(p[2])},
		{"rTRC", curve}, {"gTRC", nil}, {"bTRC", nil},
	})
}

// columns are the primaries in 65536ths whose sum is the white of the connection space
// to the last one, so that equal codes are grey.
func (s Space) columns() (p [3][3]float64) {
	m, w := s.matrix(), d50()
	for r := range m {
		rest, large := round16(w[r]), 0
		for c, v := range m[r] {
			p[c][r] = round16(v)
			rest -= p[c][r]
			if m[r][large] < v {
				large = c
			}
		}
		p[large][r] += rest
	}
	return p
}

func round16(v float64) float64 { return math.Round(v*65536) / 65536 }

// tag is a signature and its data; without data it shares those of the tag before.
type tag struct {
	signature string
	data      []byte
}

// layOut puts header, table and data together (ICC.1:2001-04 clause 6).
func layOut(tags []tag) []byte {
	b := make([]byte, headerLen)
	copy(b[8:], "\x02\x40\x00\x00")
	copy(b[12:], "mntrRGB XYZ ")
	copy(b[24:], "\x07\xEA\x00\x01\x00\x01") // the first of January 2026
	copy(b[36:], "acsp")
	copy(b[68:], xyzTag(d50())[8:])
	b = binary.BigEndian.AppendUint32(b, uint32(len(tags)))
	at := len(b) + len(tags)*tagLen
	var data []byte
	var off, n int
	for _, t := range tags {
		if t.data != nil {
			for len(data)%4 != 0 {
				data = append(data, 0)
			}
			off, n = at+len(data), len(t.data)
			data = append(data, t.data...)
		}
		b = append(b, t.signature...)
		b = binary.BigEndian.AppendUint32(b, uint32(off))
		b = binary.BigEndian.AppendUint32(b, uint32(n))
	}
	b = append(b, data...)
	for len(b)%4 != 0 {
		b = append(b, 0)
	}
	binary.BigEndian.PutUint32(b, uint32(len(b)))
	return b
}

// describe is a textDescriptionType (6.5.17): ASCII, and no Unicode or ScriptCode.
func describe(s string) []byte {
	b := binary.BigEndian.AppendUint32([]byte("desc\x00\x00\x00\x00"), uint32(len(s)+1))
	b = append(append(b, s...), 0)
	return append(b, make([]byte, 4+4+2+1+67)...)
}

func xyzTag(v [3]float64) []byte {
	b := []byte("XYZ \x00\x00\x00\x00")
	for _, x := range v {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(x*65536))))
	}
	return b
}
