package cull

import "encoding/binary"

// A look in a fixed number of bytes: the version of this form, the method, 1 for
// black-and-white, the parts with their highest byte first, columns, rows, detail, red,
// green, blue.
const (
	lookVersion = 1
	LookBytes   = 3 + 8*LookParts + 2*LookBars + LookTiles + 3
)

// AppendBinary appends the look in LookBytes bytes.
func (l Look) AppendBinary(b []byte) []byte {
	grey := byte(0)
	if l.Grey {
		grey = 1
	}
	b = append(b, lookVersion, l.Method, grey)
	for _, part := range l.Parts {
		b = binary.BigEndian.AppendUint64(b, part)
	}
	b = append(b, l.Columns[:]...)
	b = append(b, l.Rows[:]...)
	b = append(b, l.Detail[:]...)
	return append(b, l.Red, l.Green, l.Blue)
}

// LookFrom reads what AppendBinary wrote; false for anything else.
func LookFrom(b []byte) (l Look, ok bool) {
	if len(b) != LookBytes || b[0] != lookVersion || b[1] == 0 || b[2] > 1 {
		return Look{}, false
	}
	l.Method, l.Grey = b[1], b[2] == 1
	b = b[3:]
	for i := range l.Parts {
		l.Parts[i], b = binary.BigEndian.Uint64(b), b[8:]
	}
	b = b[copy(l.Columns[:], b):]
	b = b[copy(l.Rows[:], b):]
	b = b[copy(l.Detail[:], b):]
	l.Red, l.Green, l.Blue = b[0], b[1], b[2]
	return l, true
}
