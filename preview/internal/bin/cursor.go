package bin

import "encoding/binary"

// Cursor takes values out of a byte slice one after the other. The first reading
// past the end sets the error, which stays; from then on every value is zero, so
// that a structure is read straight through and the error checked once.
type Cursor struct {
	buf   []byte
	pos   int
	order binary.ByteOrder
	err   error
}

// NewCursor reads b from its start.
func NewCursor(b []byte, order binary.ByteOrder) *Cursor {
	return &Cursor{buf: b, order: order}
}

// Err is ErrEnd once something past the end was asked for.
func (c *Cursor) Err() error { return c.err }

// Pos is how many bytes were taken.
func (c *Cursor) Pos() int { return c.pos }

// Left is how many bytes remain.
func (c *Cursor) Left() int { return len(c.buf) - c.pos }

// Bytes takes n bytes; nil if there are not so many.
func (c *Cursor) Bytes(n int) []byte {
	if c.err != nil || n < 0 || n > c.Left() {
		c.err = ErrEnd
		return nil
	}
	b := c.buf[c.pos:][:n:n]
	c.pos += n
	return b
}

// Skip passes over n bytes.
func (c *Cursor) Skip(n int) { c.Bytes(n) }

// U8 takes one byte.
func (c *Cursor) U8() uint8 {
	if b := c.Bytes(1); b != nil {
		return b[0]
	}
	return 0
}

// U16 takes two bytes in the cursor's order.
func (c *Cursor) U16() uint16 {
	if b := c.Bytes(2); b != nil {
		return c.order.Uint16(b)
	}
	return 0
}

// U32 takes four bytes in the cursor's order.
func (c *Cursor) U32() uint32 {
	if b := c.Bytes(4); b != nil {
		return c.order.Uint32(b)
	}
	return 0
}

// U64 takes eight bytes in the cursor's order.
func (c *Cursor) U64() uint64 {
	if b := c.Bytes(8); b != nil {
		return c.order.Uint64(b)
	}
	return 0
}
