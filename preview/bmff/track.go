package bmff

import (
	"fmt"

	"garner/preview/internal/bin"
)

// This file finds the first sample of a track through its sample table (§8.5 to
// §8.7): sample descriptions in stsd, sizes in stsz, places of chunks in stco or
// co64. The first sample is where the first chunk begins.

// Track is one track as far as its first sample.
type Track struct {
	Entry   Box    // the first sample entry; its Type is the coding
	Samples uint32 // how many there are, as stsz declares

	Offset, Length int64 // of the first sample; Length 0 = there is none
}

// Track reads the sample table of a trak box.
func (r *Reader) Track(trak Box) (Track, error) {
	var t Track
	stbl, ok, err := r.Inside(trak, "mdia", "minf", "stbl")
	if err != nil || !ok {
		return t, missing(trak, "stbl", err)
	}
	table, err := r.Children(stbl, 0)
	if err != nil && len(table) == 0 {
		return t, err
	}
	if t.Entry, err = r.entry(stbl, table); err != nil {
		return t, err
	}
	var length, offset int64
	if t.Samples, length, err = r.firstSize(stbl, table); err != nil {
		return t, err
	}
	if t.Samples == 0 {
		return t, nil
	}
	if offset, err = r.firstChunk(stbl, table); err != nil {
		return t, err
	}
	t.Offset, t.Length = offset, length
	return t, nil
}

// entry finds the first sample entry (§8.5.2).
func (r *Reader) entry(stbl Box, table []Box) (Box, error) {
	stsd, ok := First(table, "stsd")
	if !ok {
		return Box{}, missing(stbl, "stsd", nil)
	}
	if stsd.Len() < 16 {
		return Box{}, fmt.Errorf("box %q at %d: %w", stsd.Type, stsd.Offset, ErrTable)
	}
	return r.header(stsd.Body+8, stsd.End)
}

// firstSize reads stsz (§8.7.3.2): one size for all, or a list.
func (r *Reader) firstSize(stbl Box, table []Box) (count uint32, size int64, err error) {
	b, ok := First(table, "stsz")
	if !ok {
		return 0, 0, missing(stbl, "stsz", nil)
	}
	_, _, c, err := r.Full(b, 12)
	if err != nil {
		return 0, 0, err
	}
	size, count = int64(c.U32()), c.U32()
	if size == 0 && count > 0 {
		size = int64(c.U32())
	}
	return count, size, tableErr(b, c)
}

// firstChunk reads the first offset of co64 or stco (§8.7.5).
func (r *Reader) firstChunk(stbl Box, table []Box) (int64, error) {
	b, wide := First(table, "co64")
	if !wide {
		var ok bool
		if b, ok = First(table, "stco"); !ok {
			return 0, missing(stbl, "co64", nil)
		}
	}
	_, _, c, err := r.Full(b, 12)
	if err != nil {
		return 0, err
	}
	if c.U32() == 0 {
		return 0, fmt.Errorf("box %q at %d: %w", b.Type, b.Offset, ErrTable)
	}
	var off int64
	if wide {
		off = int64(c.U64())
	} else {
		off = int64(c.U32())
	}
	if off < 0 {
		return 0, fmt.Errorf("chunk of box %q at %d: %w", b.Type, b.Offset, bin.ErrEnd)
	}
	return off, tableErr(b, c)
}

func tableErr(b Box, c *bin.Cursor) error {
	if c.Err() != nil {
		return fmt.Errorf("box %q at %d: %w", b.Type, b.Offset, ErrTable)
	}
	return nil
}

func missing(in Box, what string, err error) error {
	if err != nil {
		return err
	}
	return fmt.Errorf("box %q at %d has no %q: %w", in.Type, in.Offset, what, ErrTable)
}
