package bmff

import (
	"encoding/binary"
	"fmt"

	"garner/preview/internal/bin"
)

// Item is one item of a meta box (§8.11): a coded picture, Exif, XMP.
type Item struct {
	ID   uint32
	Type string // "hvc1", "grid", "jpeg", "Exif", "mime"; "" in the oldest form
	Mime string // content type of an item of type "mime", or of the oldest form

	// Where it lies in the file; Length 0 if it has no place, lies in pieces or in
	// another file.
	Offset, Length int64

	Props []Box // its properties, in the order in which they apply
}

// Ref is one reference between items (§8.11.12): "thmb" from a thumbnail to its
// picture, "cdsc" from metadata to what it describes.
type Ref struct {
	Type string
	From uint32
	To   []uint32
}

// Items is what a meta box holds.
type Items struct {
	Primary uint32 // item that stands for the file; 0 = not said
	List    []Item
	Refs    []Ref
}

// Find returns the item with an identifier, or nil.
func (m *Items) Find(id uint32) *Item {
	for i := range m.List {
		if m.List[i].ID == id {
			return &m.List[i]
		}
	}
	return nil
}

// Refers reports whether an item has a reference of a type to another.
func (m *Items) Refers(typ string, from, to uint32) bool {
	for _, r := range m.Refs {
		if r.Type != typ || r.From != from {
			continue
		}
		for _, t := range r.To {
			if t == to {
				return true
			}
		}
	}
	return false
}

// maxTable is how much of one table is read, in bytes: room for about a thousand
// items.
const maxTable = 24 << 10

// itemReader is the state of one Items call.
type itemReader struct {
	*Reader
	out   *Items
	idat  Box // content that is stored in the meta box itself
	props []Box
	first error
}

// Items reads the tables of a meta box. The error is the first fault; what could
// be read is returned beside it.
func (r *Reader) Items(meta Box) (*Items, error) {
	m := &itemReader{Reader: r, out: &Items{}}
	kids, err := r.Children(meta, 4)
	m.fault(err)
	m.idat, _ = First(kids, "idat")
	// The list comes first, because the other tables add to what is listed.
	for _, step := range []struct {
		typ  string
		read func(Box) error
	}{
		{"iinf", m.info}, {"pitm", m.primary}, {"iloc", m.places},
		{"iprp", m.properties}, {"iref", m.references},
	} {
		if b, ok := First(kids, step.typ); ok {
			m.fault(step.read(b))
		}
	}
	return m.out, m.first
}

func (m *itemReader) fault(err error) {
	if m.first == nil {
		m.first = err
	}
}

// clip cuts a table to what is read of one, which is a fault. Walking further
// would use up reads that the items themselves need.
func (m *itemReader) clip(b Box) Box {
	if b.Len() > maxTable {
		m.fault(fmt.Errorf("box %q of %d bytes at %d: %w", b.Type, b.Len(), b.Offset, ErrTooMany))
		b.End, b.Cut = b.Body+maxTable, true
	}
	return b
}

// primary reads pitm (§8.11.4).
func (m *itemReader) primary(b Box) error {
	v, _, c, err := m.Full(b, 4)
	if err != nil {
		return err
	}
	m.out.Primary = id(c, v == 0)
	return tableErr(b, c)
}

// info reads iinf and the infe boxes in it (§8.11.6).
func (m *itemReader) info(b Box) error {
	b = m.clip(b)
	// The table is fetched in one piece, so that walking it costs one read.
	v, _, _, err := m.Full(b, maxTable)
	if err != nil {
		return err
	}
	skip := int64(6)
	if v > 0 {
		skip = 8
	}
	kids, err := m.Children(b, skip)
	for _, k := range kids {
		if k.Type != "infe" || k.Cut {
			continue
		}
		it, e := m.entry(k)
		if e != nil && err == nil {
			err = e
		}
		if e == nil {
			m.out.List = append(m.out.List, it)
		}
	}
	return err
}

// entry reads one infe: identifier, protection, type, name, content type. The
// oldest form has no type.
func (m *itemReader) entry(b Box) (Item, error) {
	const maxEntry = 256
	v, _, c, err := m.Full(b, maxEntry)
	if err != nil {
		return Item{}, err
	}
	it := Item{ID: id(c, v < 3)}
	c.Skip(2)
	if v >= 2 {
		it.Type = string(c.Bytes(4))
	}
	if c.Err() != nil {
		return Item{}, tableErr(b, c)
	}
	text(c) // the item's name
	if v < 2 || it.Type == "mime" {
		it.Mime = text(c)
	}
	return it, nil
}

// references reads iref (§8.11.12).
func (m *itemReader) references(b Box) error {
	b = m.clip(b)
	v, _, _, err := m.Full(b, maxTable)
	if err != nil {
		return err
	}
	kids, err := m.Children(b, 4)
	for _, k := range kids {
		p, e := m.Content(k, maxTable)
		if e != nil {
			return e
		}
		m.reference(k.Type, bin.NewCursor(p, binary.BigEndian), v == 0)
	}
	return err
}

func (m *itemReader) reference(typ string, c *bin.Cursor, short bool) {
	ref := Ref{Type: typ, From: id(c, short)}
	for n := c.U16(); n > 0; n-- {
		to := id(c, short)
		if c.Err() != nil {
			break
		}
		ref.To = append(ref.To, to)
	}
	if len(ref.To) > 0 {
		m.out.Refs = append(m.out.Refs, ref)
	}
}
