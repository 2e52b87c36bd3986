// Package ifd writes directories of a TIFF structure, the highest byte first: TIFF
// 6.0 §2 for the form, as Exif (CIPA DC-008) has it in a JPEG. Text is UTF-8 in
// fields of type ASCII, which is common practice and what readers expect until they
// know the type that Exif 3.0 has for it.
package ifd

import (
	"cmp"
	"encoding/binary"
	"slices"

	"garner/preview/tiff"
)

// Header begins a structure whose first directory follows at once.
const Header = "MM\x00\x2A\x00\x00\x00\x08"

// field is an entry of a directory with its value, the highest byte first.
type field struct {
	tag   uint16
	kind  tiff.Type
	count uint32
	value []byte
}

// Directory is the fields of one directory, in any order.
type Directory []field

// Add adds a field whose value is there already.
func (d *Directory) Add(tag uint16, kind tiff.Type, count int, value []byte) {
	*d = append(*d, field{tag, kind, uint32(count), value})
}

// Has reports whether there is a field.
func (d Directory) Has(tag uint16) bool {
	return slices.ContainsFunc(d, func(f field) bool { return f.tag == tag })
}

// Text adds a string, which a NUL ends, unless it is empty.
func (d *Directory) Text(tag uint16, s string) {
	if s != "" {
		d.Add(tag, tiff.ASCII, len(s)+1, append([]byte(s), 0))
	}
}

// Short adds a number of 16 bits.
func (d *Directory) Short(tag uint16, v int) {
	d.Add(tag, tiff.Short, 1, binary.BigEndian.AppendUint16(nil, uint16(v)))
}

// Long adds a number of 32 bits.
func (d *Directory) Long(tag uint16, v int) {
	d.Add(tag, tiff.Long, 1, binary.BigEndian.AppendUint32(nil, uint32(v)))
}

// Bytes adds bytes whose meaning the tag tells.
func (d *Directory) Bytes(tag uint16, s string) {
	d.Add(tag, tiff.Undefined, len(s), []byte(s))
}

// Fraction adds a rational number.
func (d *Directory) Fraction(tag uint16, num, den int) {
	d.Add(tag, tiff.Rational, 1, binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(num)), uint32(den)))
}

// Append appends the directory in the order of its tags, and its values behind it;
// at says where the four bytes of each entry's value or offset lie.
func (d Directory) Append(dst []byte) (out []byte, at map[uint16]int) {
	slices.SortStableFunc(d, func(a, b field) int { return cmp.Compare(a.tag, b.tag) })
	at = map[uint16]int{}
	values := len(dst) + 2 + 12*len(d) + 4
	var behind []byte
	dst = binary.BigEndian.AppendUint16(dst, uint16(len(d)))
	for _, f := range d {
		dst = binary.BigEndian.AppendUint16(dst, f.tag)
		dst = binary.BigEndian.AppendUint16(dst, uint16(f.kind))
		dst = binary.BigEndian.AppendUint32(dst, f.count)
		at[f.tag] = len(dst)
		if len(f.value) <= 4 {
			dst = append(dst, append(f.value[:len(f.value):len(f.value)], 0, 0, 0, 0)[:4]...)
			continue
		}
		dst = binary.BigEndian.AppendUint32(dst, uint32(values+len(behind)))
		behind = append(behind, f.value...)
		if len(behind)%2 != 0 { // values begin at even places
			behind = append(behind, 0)
		}
	}
	dst = append(dst, 0, 0, 0, 0) // no thumbnail
	return append(dst, behind...), at
}
