package build

import (
	"encoding/binary"
	"fmt"
	"sort"
)

// This file implements the writing side of TIFF 6.0 §2: image file directories,
// their values and the places they point to.

// The field types of TIFF 6.0 §2 that are written here.
const (
	typeByte      = 1
	typeASCII     = 2
	typeShort     = 3
	typeLong      = 4
	typeRational  = 5
	typeUndefined = 7
	typeSRational = 10
)

// place is something another field points to; its position is known once the
// whole file is laid out.
type place struct{ pos uint32 }

// blob is a run of bytes outside all directories: a JPEG, a strip.
type blob struct {
	place
	data []byte
}

type field struct {
	tag, typ uint16
	count    uint32
	data     []byte   // the value in the file's byte order, or nil if refs say it
	refs     []*place // offsets, filled in when the layout is known
}

// ifd collects the fields of one directory in any order. Directories of a file
// share their byte order.
type ifd struct {
	place
	order    binary.AppendByteOrder
	fields   []field
	children []*ifd // written after it: SubIFDs, the Exif IFD
	blobs    []*blob
	next     *ifd
}

func newIFD(order binary.AppendByteOrder) *ifd { return &ifd{order: order} }

func (d *ifd) add(tag, typ uint16, count int, data []byte) {
	d.fields = append(d.fields, field{tag: tag, typ: typ, count: uint32(count), data: data})
}

// ascii adds a string with its closing NUL; an empty one is left out.
func (d *ifd) ascii(tag uint16, s string) {
	if s != "" {
		d.add(tag, typeASCII, len(s)+1, append([]byte(s), 0))
	}
}

func (d *ifd) bytes(tag uint16, v ...byte)       { d.add(tag, typeByte, len(v), v) }
func (d *ifd) undefined(tag uint16, data []byte) { d.add(tag, typeUndefined, len(data), data) }

func (d *ifd) short(tag uint16, vs ...uint16) {
	var b []byte
	for _, v := range vs {
		b = d.order.AppendUint16(b, v)
	}
	d.add(tag, typeShort, len(vs), b)
}

func (d *ifd) long(tag uint16, vs ...uint32) {
	var b []byte
	for _, v := range vs {
		b = d.order.AppendUint32(b, v)
	}
	d.add(tag, typeLong, len(vs), b)
}

// rational adds unsigned fractions, signed ones with typ typeSRational. A single
// fraction with denominator 0 means "not known" and is left out.
func (d *ifd) rational(tag, typ uint16, vs ...Rational) {
	if len(vs) == 1 && vs[0].Den == 0 {
		return
	}
	var b []byte
	for _, v := range vs {
		b = d.order.AppendUint32(b, uint32(v.Num))
		b = d.order.AppendUint32(b, uint32(v.Den))
	}
	d.add(tag, typ, len(vs), b)
}

// sub adds a field that points to child directories.
func (d *ifd) sub(tag uint16, kids ...*ifd) {
	f := field{tag: tag, typ: typeLong, count: uint32(len(kids))}
	for _, k := range kids {
		f.refs = append(f.refs, &k.place)
	}
	d.fields = append(d.fields, f)
	d.children = append(d.children, kids...)
}

// point adds the pair of fields that say where data lies and how long it is.
func (d *ifd) point(offsetTag, lengthTag uint16, data []byte) {
	b := &blob{data: data}
	d.blobs = append(d.blobs, b)
	d.fields = append(d.fields, field{tag: offsetTag, typ: typeLong, count: 1, refs: []*place{&b.place}})
	d.long(lengthTag, uint32(len(data)))
}

// tiff lays the directory, its children and its chain out behind a TIFF header:
// all directories and their values first, so that a reader gets them with one
// read, then the blobs in the order in which they were added. blobAlign is the
// multiple at which blobs begin, at least 2.
func (d *ifd) tiff(blobAlign uint32) ([]byte, error) {
	var dirs []*ifd
	var walk func(*ifd)
	walk = func(d *ifd) {
		for ; d != nil; d = d.next {
			dirs = append(dirs, d)
			for _, c := range d.children {
				walk(c)
			}
		}
	}
	walk(d)

	pos := uint32(8)
	for _, d := range dirs {
		// TIFF 6.0 §2: entries are sorted by tag, and offsets are even.
		sort.SliceStable(d.fields, func(i, j int) bool { return d.fields[i].tag < d.fields[j].tag })
		d.pos = pos
		pos += 2 + 12*uint32(len(d.fields)) + 4
		for _, f := range d.fields {
			if n := f.size(); n > 4 {
				pos += n + n%2
			}
		}
	}
	var blobs []*blob
	for _, d := range dirs {
		for _, b := range d.blobs {
			pos = roundUp(pos, blobAlign)
			b.pos = pos
			if uint64(pos)+uint64(len(b.data)) > maxFile {
				return nil, fmt.Errorf("build: the file would pass %d bytes", maxFile)
			}
			pos += uint32(len(b.data))
			blobs = append(blobs, b)
		}
	}

	out := make([]byte, 0, pos)
	if d.order.AppendUint16(nil, 1)[0] == 1 {
		out = append(out, 'I', 'I')
	} else {
		out = append(out, 'M', 'M')
	}
	out = d.order.AppendUint16(out, 42)
	out = d.order.AppendUint32(out, d.pos)
	for _, d := range dirs {
		out = d.append(out)
	}
	for _, b := range blobs {
		out = append(out, make([]byte, int(b.pos)-len(out))...)
		out = append(out, b.data...)
	}
	return out, nil
}

func (f field) size() uint32 {
	if f.refs != nil {
		return 4 * uint32(len(f.refs))
	}
	return uint32(len(f.data))
}

// append writes the directory and the values that do not fit into its entries.
func (d *ifd) append(out []byte) []byte {
	values := d.pos + 2 + 12*uint32(len(d.fields)) + 4
	var outside []byte
	out = d.order.AppendUint16(out, uint16(len(d.fields)))
	for _, f := range d.fields {
		data := f.data
		for _, r := range f.refs {
			data = d.order.AppendUint32(data, r.pos)
		}
		out = d.order.AppendUint16(out, f.tag)
		out = d.order.AppendUint16(out, f.typ)
		out = d.order.AppendUint32(out, f.count)
		if len(data) <= 4 {
			out = append(out, data...)
			out = append(out, make([]byte, 4-len(data))...)
			continue
		}
		out = d.order.AppendUint32(out, values+uint32(len(outside)))
		outside = append(outside, data...)
		if len(data)%2 == 1 {
			outside = append(outside, 0)
		}
	}
	next := uint32(0)
	if d.next != nil {
		next = d.next.pos
	}
	out = d.order.AppendUint32(out, next)
	return append(out, outside...)
}

func roundUp(v, multiple uint32) uint32 { return (v + multiple - 1) / multiple * multiple }
