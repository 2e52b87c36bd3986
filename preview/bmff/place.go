package bmff

import (
	"fmt"
	"math"

	"garner/preview/internal/bin"
)

// This file reads where items lie (iloc, ISO/IEC 14496-12 §8.11.3) and which
// properties they have (iprp, ISO/IEC 23008-12 §9.3).

// id takes an item identifier of 16 or 32 bits.
func id(c *bin.Cursor, short bool) uint32 {
	if short {
		return uint32(c.U16())
	}
	return c.U32()
}

// text takes a string up to its NUL, or to the end where none comes.
func text(c *bin.Cursor) string {
	var s []byte
	for c.Left() > 0 {
		ch := c.U8()
		if ch == 0 {
			break
		}
		s = append(s, ch)
	}
	return string(s)
}

// How an item's offsets count.
const (
	fromFile = 0
	fromIdat = 1
)

// widths are the sizes in bytes of the numbers in an iloc box.
type widths struct{ offset, length, base, index int }

// places reads iloc.
func (m *itemReader) places(b Box) error {
	v, _, c, err := m.Full(m.clip(b), maxTable)
	if err != nil {
		return err
	}
	n := c.U16()
	w := widths{int(n >> 12), int(n >> 8 & 15), int(n >> 4 & 15), int(n & 15)}
	if v == 0 {
		w.index = 0 // reserved there
	}
	for _, x := range []int{w.offset, w.length, w.base, w.index} {
		if x != 0 && x != 4 && x != 8 {
			return fmt.Errorf("box %q at %d has numbers of %d bytes: %w", b.Type, b.Offset, x, ErrTable)
		}
	}
	count := id(c, v < 2)
	for ; count > 0 && c.Err() == nil; count-- {
		m.place(c, v, w)
	}
	return tableErr(b, c)
}

// place reads one entry. Pieces that follow one another are one.
func (m *itemReader) place(c *bin.Cursor, version byte, w widths) {
	ident := id(c, version < 2)
	method := uint16(fromFile)
	if version > 0 {
		method = c.U16() & 15
	}
	elsewhere := c.U16() != 0 // another file's
	base := number(c, w.base)
	var off, length uint64
	n := int(c.U16())
	whole := n > 0
	for i := 0; i < n && c.Err() == nil; i++ {
		c.Skip(w.index)
		o, l := number(c, w.offset), number(c, w.length)
		switch {
		case i == 0:
			off, length = o, l
		case l == 0 || length == 0 || o != off+length:
			whole = false
		default:
			length += l
		}
	}
	it := m.out.Find(ident)
	if c.Err() != nil || it == nil || it.Length != 0 || elsewhere || !whole {
		return
	}
	start, end := uint64(0), uint64(m.src.Size())
	switch method {
	case fromFile:
	case fromIdat:
		start, end = uint64(m.idat.Body), uint64(m.idat.End)
	default:
		return
	}
	// Sums of numbers of the file may overflow: each is checked before it is added.
	if base > math.MaxInt64/4 || off > math.MaxInt64/4 || length > math.MaxInt64/4 {
		return
	}
	off += base + start
	if length == 0 && off < end {
		length = end - off // §8.11.3.3: "the length of the entire source"
	}
	if method == fromIdat && off+length > end {
		return
	}
	it.Offset, it.Length = int64(off), int64(length)
}

// number takes a number of 0, 4 or 8 bytes.
func number(c *bin.Cursor, width int) uint64 {
	switch width {
	case 4:
		return uint64(c.U32())
	case 8:
		return c.U64()
	}
	return 0
}

// properties reads iprp: the property boxes in ipco, and in ipma who has which.
func (m *itemReader) properties(b Box) error {
	kids, err := m.Children(b, 0)
	for _, k := range kids {
		var e error
		switch k.Type {
		case "ipco":
			m.props, e = m.Children(k, 0)
		case "ipma": // there may be several
			e = m.associations(k)
		}
		if err == nil {
			err = e
		}
	}
	return err
}

// maxProps bounds the properties of one item; real ones have up to eight.
const maxProps = 16

func (m *itemReader) associations(b Box) error {
	v, flags, c, err := m.Full(m.clip(b), maxTable)
	if err != nil {
		return err
	}
	for count := c.U32(); count > 0 && c.Err() == nil; count-- {
		it := m.out.Find(id(c, v < 1))
		for n := c.U8(); n > 0; n-- {
			i := int(c.U8() & 0x7F) // the highest bit says "essential"
			if flags&1 != 0 {
				i = i<<8 | int(c.U8())
			}
			if c.Err() == nil && it != nil && i > 0 && i <= len(m.props) && len(it.Props) < maxProps {
				it.Props = append(it.Props, m.props[i-1])
			}
		}
	}
	return tableErr(b, c)
}
