// Package craft builds TIFF structures and JPEG headers byte by byte for tests:
// well-formed ones in a line each, and malformed ones on purpose. It shares no
// code with what it tests.
package craft

import "encoding/binary"

// TIFF is a structure that grows at its end. Children are added before the
// directory that points to them, whose offset is then known; loops are made
// afterwards with Patch32.
type TIFF struct {
	Order binary.ByteOrder
	buf   []byte
}

// NewTIFF begins with the header of TIFF 6.0 §2, version 42.
func NewTIFF(order binary.ByteOrder) *TIFF { return NewVersion(order, 42) }

// NewVersion begins with a header of another version.
func NewVersion(order binary.ByteOrder, version uint16) *TIFF {
	t := &TIFF{Order: order, buf: make([]byte, 8)}
	copy(t.buf, "MM")
	if order == binary.ByteOrder(binary.LittleEndian) {
		copy(t.buf, "II")
	}
	order.PutUint16(t.buf[2:], version)
	return t
}

// Field is one entry of a directory.
type Field struct {
	Tag, Type uint16
	Count     uint32
	Data      []byte
}

// Blob appends bytes and returns their offset.
func (t *TIFF) Blob(b []byte) uint32 {
	off := uint32(len(t.buf))
	t.buf = append(t.buf, b...)
	return off
}

// Len is the offset of whatever is added next.
func (t *TIFF) Len() uint32 { return uint32(len(t.buf)) }

// IFD appends the values that do not fit, then a directory, and returns its
// offset.
func (t *TIFF) IFD(next uint32, fields ...Field) uint32 {
	places := make([]uint32, len(fields))
	for i, f := range fields {
		if len(f.Data) > 4 {
			places[i] = t.Blob(f.Data)
		}
	}
	off := t.Len()
	t.u16(uint16(len(fields)))
	for i, f := range fields {
		t.u16(f.Tag)
		t.u16(f.Type)
		t.u32(f.Count)
		if len(f.Data) > 4 {
			t.u32(places[i])
			continue
		}
		t.buf = append(t.buf, f.Data...)
		t.buf = append(t.buf, make([]byte, 4-len(f.Data))...)
	}
	t.u32(next)
	return off
}

// Patch32 overwrites four bytes.
func (t *TIFF) Patch32(at, v uint32) { t.Order.PutUint32(t.buf[at:], v) }

// NextAt is where the link of a directory with n fields at off lies.
func NextAt(off uint32, n int) uint32 { return off + 2 + 12*uint32(n) }

// ValueAt is where the value of field i of the directory at off lies.
func ValueAt(off uint32, i int) uint32 { return off + 2 + 12*uint32(i) + 8 }

// Bytes closes the structure with first as its first directory.
func (t *TIFF) Bytes(first uint32) []byte {
	t.Patch32(4, first)
	return t.buf
}

func (t *TIFF) u16(v uint16) { t.buf = append(t.buf, t.bytes16(v)...) }
func (t *TIFF) u32(v uint32) { t.buf = append(t.buf, t.bytes32(v)...) }

func (t *TIFF) bytes16(v uint16) []byte {
	b := make([]byte, 2)
	t.Order.PutUint16(b, v)
	return b
}

func (t *TIFF) bytes32(v uint32) []byte {
	b := make([]byte, 4)
	t.Order.PutUint32(b, v)
	return b
}

// Short is a field of type 3.
func (t *TIFF) Short(tag uint16, vs ...uint16) Field {
	var b []byte
	for _, v := range vs {
		b = append(b, t.bytes16(v)...)
	}
	return Field{tag, 3, uint32(len(vs)), b}
}

// Long is a field of type 4.
func (t *TIFF) Long(tag uint16, vs ...uint32) Field {
	var b []byte
	for _, v := range vs {
		b = append(b, t.bytes32(v)...)
	}
	return Field{tag, 4, uint32(len(vs)), b}
}

// Rational is a field of type 5: numerator, denominator, numerator, ...
func (t *TIFF) Rational(tag uint16, vs ...uint32) Field {
	f := t.Long(tag, vs...)
	f.Type, f.Count = 5, f.Count/2
	return f
}

// SRational is a field of type 10.
func (t *TIFF) SRational(tag uint16, num, den int32) Field {
	f := t.Rational(tag, uint32(num), uint32(den))
	f.Type = 10
	return f
}

// Text is a field of type 2 with its closing NUL.
func (t *TIFF) Text(tag uint16, s string) Field {
	return Field{tag, 2, uint32(len(s) + 1), append([]byte(s), 0)}
}

// Undefined is a field of type 7.
func (t *TIFF) Undefined(tag uint16, b []byte) Field {
	return Field{tag, 7, uint32(len(b)), b}
}
