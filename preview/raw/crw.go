package raw

import (
	"encoding/binary"

	"garner/preview/internal/bin"
)

// This file reads the heap of Canon's CRW files, after the maker's published "CIFF
// Specification on Image Data File" and the record numbers of the reference reader
// exiftool. A heap block ends with the offset of its directory; a directory's
// records are 10 bytes each: type, length and offset in the block, or eight bytes
// of value in their place. A record may be a heap block of its own.

func isCRW(head []byte) bool {
	return len(head) >= 14 && (string(head[:2]) == "II" || string(head[:2]) == "MM") && string(head[6:14]) == "HEAPCCDR"
}

// Limits of one file. Real ones have about eight blocks, two or three deep.
const (
	maxHeapDepth   = 5
	maxHeaps       = 32
	maxHeapRecords = 256 // in one directory
)

// Bits of a record's type: where the value is, and whether it is a block.
const (
	heapPlace  = 0xC000
	heapInside = 0x4000 // the value stands in the record
	heapForm   = 0x3800
	heapBlock1 = 0x2800
	heapBlock2 = 0x3000
	heapType   = 0x3FFF
)

// record is one entry of a directory.
type record struct {
	typ         uint16 // without the bits that say where the value is
	off, length int64  // of the value in the file
}

// crw is the state of reading one CRW file.
type crw struct {
	*scan
	order  binary.ByteOrder
	seen   map[int64]bool // directories that were read
	fields canonRecords
}

func locateCRW(s *scan) error {
	s.out.Kind = "CRW"
	// Every body writes "II"; the specification allows both orders.
	c := &crw{scan: s, order: binary.LittleEndian, seen: make(map[int64]bool)}
	if s.head[0] == 'M' {
		c.order = binary.BigEndian
	}
	size := s.src.Size()
	// The directories are the last thing in the file: one read gets nearly all.
	const tail = 6 << 10
	if _, err := s.src.At(max(0, size-tail), int(min(size, tail))); err != nil {
		s.fault(err, "heap's end")
	}
	start := int64(c.order.Uint32(s.head[2:]))
	c.heap(start, size, 0)
	c.fields.settle(&s.out.Meta)
	return nil
}

// heap reads the block between two places in the file.
func (c *crw) heap(start, end int64, depth int) {
	const what = "heap directory"
	if end-start < 6 {
		c.problem(ProblemBadPlace, "the %s lies outside the file", what)
		return
	}
	b, err := c.src.At(end-4, 4)
	if err != nil {
		c.fault(err, what)
		return
	}
	dir := start + int64(c.order.Uint32(b))
	switch {
	case dir > end-6:
		c.problem(ProblemBadPlace, "the %s at %d lies outside its block", what, dir)
		return
	case c.seen[dir]:
		c.problem(ProblemLoop, "the %s at %d was already read", what, dir)
		return
	case len(c.seen) >= maxHeaps || depth > maxHeapDepth:
		c.problem(ProblemTooMuch, "too many heap directories")
		return
	}
	c.seen[dir] = true
	for _, r := range c.records(start, end, dir) {
		switch r.typ & heapForm {
		case heapBlock1, heapBlock2:
			c.heap(r.off, r.off+r.length, depth+1)
		default:
			c.record(r)
		}
	}
}

// records reads the directory at dir of the block from start to end.
func (c *crw) records(start, end, dir int64) []record {
	const what, size = "heap directory", 10
	b, err := c.src.At(dir, 2)
	if err != nil {
		c.fault(err, what)
		return nil
	}
	n := int64(c.order.Uint16(b))
	if room := (end - 4 - dir - 2) / size; n > room || n > maxHeapRecords {
		c.problem(ProblemBadCount, "the %s at %d has %d records", what, dir, n)
		n = min(room, maxHeapRecords)
	}
	if b, err = c.src.At(dir+2, int(n)*size); err != nil {
		c.fault(err, what)
		return nil
	}
	var out []record
	said := false
	cur := bin.NewCursor(b, c.order)
	for i := range n {
		typ := cur.U16()
		r := record{typ & heapType, 0, int64(cur.U32())}
		off := int64(cur.U32())
		switch typ & heapPlace {
		case heapInside:
			r.off, r.length = dir+2+i*size+2, 8
		case 0:
			r.off = start + off
		default:
			continue
		}
		// A JPEG may be cut off and is judged later; the rest has to be there.
		if r.off+r.length > end && !r.isJPEG() {
			if !said { // once for a directory: with one wrong number all are
				c.problem(ProblemBadPlace, "the record %#x of the %s at %d lies outside its block", r.typ, what, dir)
			}
			said = true
			continue
		}
		out = append(out, r)
	}
	return out
}

// Records that hold a JPEG.
const (
	crwFullJPEG  = 0x2007
	crwThumbnail = 0x2008
)

func (r record) isJPEG() bool { return r.typ == crwFullJPEG || r.typ == crwThumbnail }

// record takes one value.
func (c *crw) record(r record) {
	if r.isJPEG() {
		what := "record JpgFromRaw"
		if r.typ == crwThumbnail {
			what = "record ThumbnailImage"
		}
		c.addCandidate(r.off, r.length, hint{what: what})
		return
	}
	if !wanted(r.typ) {
		return
	}
	const maxValue = 128
	b, err := c.src.At(r.off, int(min(r.length, maxValue)))
	if err != nil {
		c.fault(err, "heap record")
		return
	}
	c.fields.take(&c.out.Meta, r.typ, b, c.order)
}
