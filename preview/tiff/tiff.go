// Package tiff reads image file directories as TIFF 6.0 §2 lays them out, from a
// bounded source and within limits of its own: no directory is read twice, no
// count decides an allocation, no value is fetched before it is asked for. It
// knows the syntax; what the tags mean is the business of its callers.
//
// # Security
//
// Input is untrusted. Every offset is checked against the structure's extent
// before it is used, and errors wrap one of this package's or bin's sentinels.
package tiff

import (
	"encoding/binary"
	"errors"
	"fmt"

	"garner/preview/internal/bin"
)

// What can be wrong with a directory; the source's errors come on top.
var (
	ErrHeader  = errors.New("no TIFF header")
	ErrLoop    = errors.New("directory already read")
	ErrCount   = errors.New("impossible count")
	ErrTooMuch = errors.New("too many directories or entries")
)

// Limits of one structure, all its directories together.
const (
	maxDirs       = 64
	maxDirEntries = 1024 // in one directory
	maxEntries    = 8192 // in all
)

// Reader reads directories of one TIFF structure, whose offsets count from a base
// in the file. Readers derived from one another by Within share the limits and the
// memory of what was read.
type Reader struct {
	src    *bin.Source
	base   int64 // of the offsets, in the file
	size   int64 // bytes from base that belong to the structure
	order  binary.ByteOrder
	shared *shared
}

// shared is what keeps a web of directories finite.
type shared struct {
	seen    map[int64]bool
	entries int
}

// Header is the start of a TIFF structure.
type Header struct {
	Order   binary.ByteOrder
	Version uint16 // 42; some raw formats put their own number
	First   int64  // offset of the first directory from the base
}

// ReadHeader reads the eight bytes at base.
func ReadHeader(src *bin.Source, base int64) (Header, error) {
	b, err := src.At(base, 8)
	if err != nil {
		return Header{}, err
	}
	return ParseHeader(b)
}

// ParseHeader is ReadHeader on bytes that are at hand.
func ParseHeader(b []byte) (Header, error) {
	var h Header
	if len(b) < 8 {
		return h, ErrHeader
	}
	switch string(b[:2]) {
	case "II":
		h.Order = binary.LittleEndian
	case "MM":
		h.Order = binary.BigEndian
	default:
		return h, ErrHeader
	}
	h.Version = h.Order.Uint16(b[2:])
	h.First = int64(h.Order.Uint32(b[4:]))
	return h, nil
}

// NewReader reads a structure of size bytes at base in the given byte order.
func NewReader(src *bin.Source, base, size int64, order binary.ByteOrder) *Reader {
	return &Reader{src, base, clip(src, base, size), order, &shared{seen: make(map[int64]bool)}}
}

// Within is a reader for a structure inside r's file that has a base, an extent or
// a byte order of its own, as some maker notes do.
func (r *Reader) Within(base, size int64, order binary.ByteOrder) *Reader {
	return &Reader{r.src, base, clip(r.src, base, size), order, r.shared}
}

func clip(src *bin.Source, base, size int64) int64 {
	if base < 0 || base > src.Size() {
		return 0
	}
	return max(0, min(size, src.Size()-base))
}

// Base is where the structure's offsets count from, in the file.
func (r *Reader) Base() int64 { return r.base }

// Size is how many bytes from Base belong to the structure.
func (r *Reader) Size() int64 { return r.size }

// Order is the structure's byte order.
func (r *Reader) Order() binary.ByteOrder { return r.order }

// Source is what the structure is read from.
func (r *Reader) Source() *bin.Source { return r.src }

// IFD is one directory.
type IFD struct {
	Offset  int64 // from the base
	Entries []Entry
	Next    int64 // offset of the next in the chain; 0 = none
	Cut     bool  // the directory reaches past the end: entries are missing
}

// Find returns the first entry of a tag, or nil.
func (d *IFD) Find(tag uint16) *Entry {
	for i := range d.Entries {
		if d.Entries[i].Tag == tag {
			return &d.Entries[i]
		}
	}
	return nil
}

// IFD reads the directory at an offset from the base.
func (r *Reader) IFD(off int64) (*IFD, error) {
	where := r.base + off
	if off < 0 || off > r.size-2 {
		return nil, fmt.Errorf("directory at %d: %w", where, bin.ErrEnd)
	}
	if r.shared.seen[where] {
		return nil, fmt.Errorf("directory at %d: %w", where, ErrLoop)
	}
	if len(r.shared.seen) >= maxDirs || r.shared.entries >= maxEntries {
		return nil, fmt.Errorf("directory at %d: %w", where, ErrTooMuch)
	}
	r.shared.seen[where] = true
	head, err := r.src.At(where, 2)
	if err != nil {
		return nil, err
	}
	count := int64(r.order.Uint16(head))
	if count == 0 || count > maxDirEntries {
		return nil, fmt.Errorf("directory at %d with %d entries: %w", where, count, ErrCount)
	}
	d := &IFD{Offset: off}
	// A file that was cut in the middle of a directory still gives its first part.
	if room := (r.size - off - 2) / 12; count > room {
		count, d.Cut = room, true
	}
	n := int(count) * 12
	if !d.Cut && off+2+int64(n)+4 <= r.size {
		n += 4
	}
	b, err := r.src.At(where+2, n)
	if err != nil {
		return nil, err
	}
	r.shared.entries += int(count)
	d.Entries = make([]Entry, 0, count)
	c := bin.NewCursor(b, r.order)
	for i := range count {
		d.Entries = append(d.Entries, r.entry(c, where+2+i*12))
	}
	if c.Left() == 4 {
		d.Next = int64(c.U32())
	}
	return d, nil
}

// entry takes one entry that lies at where in the file.
func (r *Reader) entry(c *bin.Cursor, where int64) Entry {
	e := Entry{Tag: c.U16(), Type: Type(c.U16()), Count: c.U32(), r: r}
	e.inline = [4]byte(c.Bytes(4))
	// TIFF 6.0 §2: 32 bits times at most 8 bytes cannot overflow 64.
	e.Size = int64(e.Count) * e.Type.size()
	if e.Size <= 4 {
		e.Offset = where + 8
	} else {
		e.Offset = r.base + int64(r.order.Uint32(e.inline[:]))
	}
	return e
}
