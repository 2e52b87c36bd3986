package tiff

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"garner/preview/internal/bin"
)

// Type is a field type of TIFF 6.0 §2, or one of its later additions.
type Type uint16

// The field types. IFD is TIFF Technical Note 1, UTF8 is Exif 3.0.
const (
	Byte      Type = 1
	ASCII     Type = 2
	Short     Type = 3
	Long      Type = 4
	Rational  Type = 5
	SByte     Type = 6
	Undefined Type = 7
	SShort    Type = 8
	SLong     Type = 9
	SRational Type = 10
	Float     Type = 11
	Double    Type = 12
	IFDPtr    Type = 13
	UTF8      Type = 129
)

// size is how many bytes one value takes; 0 for a type that is not known.
func (t Type) size() int64 {
	switch t {
	case Byte, ASCII, SByte, Undefined, UTF8:
		return 1
	case Short, SShort:
		return 2
	case Long, SLong, Float, IFDPtr:
		return 4
	case Rational, SRational, Double:
		return 8
	}
	return 0
}

// Entry is one field of a directory. Its value is read when it is asked for.
type Entry struct {
	Tag    uint16
	Type   Type
	Count  uint32
	Size   int64 // bytes of the whole value; 0 if the type is not known
	Offset int64 // of the value, from the start of the file

	inline [4]byte
	r      *Reader
}

// MaxText is how much of a string is read: more than any name needs.
const MaxText = 256

// Inside reports whether the whole value lies in the structure.
func (e *Entry) Inside() bool {
	off := e.Offset - e.r.base
	return off >= 0 && off <= e.r.size && e.Size <= e.r.size-off
}

// Bytes returns the value's first n bytes, fewer if it has fewer.
func (e *Entry) Bytes(n int) ([]byte, error) {
	n = int(min(int64(n), e.Size))
	if e.Size <= 4 {
		return e.inline[:n:n], nil
	}
	if !e.Inside() {
		return nil, fmt.Errorf("value of tag %#x at %d: %w", e.Tag, e.Offset, bin.ErrEnd)
	}
	return e.r.src.At(e.Offset, n)
}

// Ints returns the first n values of a whole-number type, fewer if there are
// fewer, nil if the type is another or the value cannot be read.
func (e *Entry) Ints(n int) []int64 {
	size := int(e.Type.size())
	switch e.Type {
	case Byte, Undefined, SByte, Short, SShort, Long, SLong, IFDPtr:
	default:
		return nil
	}
	b, err := e.Bytes(n * size)
	if err != nil {
		return nil
	}
	out := make([]int64, 0, len(b)/size)
	c := bin.NewCursor(b, e.r.order)
	for c.Left() >= size {
		var v int64
		switch e.Type {
		case SByte:
			v = int64(int8(c.U8()))
		case Short:
			v = int64(c.U16())
		case SShort:
			v = int64(int16(c.U16()))
		case Long, IFDPtr:
			v = int64(c.U32())
		case SLong:
			v = int64(int32(c.U32()))
		default:
			v = int64(c.U8())
		}
		out = append(out, v)
	}
	return out
}

// Int returns the first value of a whole-number type.
func (e *Entry) Int() (int64, bool) {
	if e == nil {
		return 0, false
	}
	if v := e.Ints(1); len(v) == 1 {
		return v[0], true
	}
	return 0, false
}

// Float returns value number i of a number type. A fraction with denominator 0
// and what is not finite is not a value.
func (e *Entry) Float(i int) (float64, bool) {
	if e == nil || i < 0 || int64(i) >= int64(e.Count) {
		return 0, false
	}
	switch e.Type {
	case Rational, SRational, Float, Double:
		size := int(e.Type.size())
		b, err := e.Bytes((i + 1) * size)
		if err != nil || len(b) != (i+1)*size {
			return 0, false
		}
		v := e.float(bin.NewCursor(b[i*size:], e.r.order))
		return v, !math.IsNaN(v) && !math.IsInf(v, 0)
	}
	v := e.Ints(i + 1)
	if len(v) <= i {
		return 0, false
	}
	return float64(v[i]), true
}

func (e *Entry) float(c *bin.Cursor) float64 {
	switch e.Type {
	case Rational:
		num, den := c.U32(), c.U32()
		return float64(num) / float64(den)
	case SRational:
		num, den := int32(c.U32()), int32(c.U32())
		return float64(num) / float64(den)
	case Float:
		return float64(math.Float32frombits(c.U32()))
	default:
		return math.Float64frombits(c.U64())
	}
}

// Text returns a string value up to its first NUL, without blanks around it and
// as valid UTF-8; at most MaxText bytes. Some writers use BYTE or UNDEFINED for
// strings.
func (e *Entry) Text() string {
	if e == nil {
		return ""
	}
	switch e.Type {
	case ASCII, UTF8, Byte, Undefined:
	default:
		return ""
	}
	b, err := e.Bytes(MaxText)
	if err != nil {
		return ""
	}
	if i := bytes.IndexByte(b, 0); i >= 0 {
		b = b[:i]
	}
	return strings.TrimSpace(strings.ToValidUTF8(string(b), "\uFFFD"))
}
