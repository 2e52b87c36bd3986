package imprint

import (
	"cmp"
	"encoding/binary"
	"slices"

	"garner/preview/icc"
	"garner/preview/tiff"
)

// This file writes Exif: CIPA DC-008-2019 for the tags, TIFF 6.0 §2 for the
// directories. Text is UTF-8 in fields of type ASCII, which is common practice and
// what readers expect until they know the type that Exif 3.0 has for it.

// maxExif is what a segment has room for behind Exif's six bytes.
const maxExif = 65533 - 6

// field is an entry of a directory with its value, the highest byte first.
type field struct {
	tag   uint16
	kind  tiff.Type
	count uint32
	value []byte
}

type directory []field

func (d *directory) add(tag uint16, kind tiff.Type, count int, value []byte) {
	*d = append(*d, field{tag, kind, uint32(count), value})
}

func (d directory) has(tag uint16) bool {
	return slices.ContainsFunc(d, func(f field) bool { return f.tag == tag })
}

// text adds a string, which a NUL ends, unless it is empty.
func (d *directory) text(tag uint16, s string) {
	if s != "" {
		d.add(tag, tiff.ASCII, len(s)+1, append([]byte(s), 0))
	}
}

func (d *directory) short(tag uint16, v int) {
	d.add(tag, tiff.Short, 1, binary.BigEndian.AppendUint16(nil, uint16(v)))
}

func (d *directory) long(tag uint16, v int) {
	d.add(tag, tiff.Long, 1, binary.BigEndian.AppendUint32(nil, uint32(v)))
}

func (d *directory) bytes(tag uint16, s string) {
	d.add(tag, tiff.Undefined, len(s), []byte(s))
}

func (d *directory) fraction(tag uint16, num, den int) {
	d.add(tag, tiff.Rational, 1, binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(num)), uint32(den)))
}

// exifBytes returns the Exif of a picture of width by height with cleaned
// metadata, as a TIFF structure.
func exifBytes(m *Meta, o *Output, width, height int, grey bool) ([]byte, error) {
	c := carry(m.Exif, m.KeepSerial, m.KeepGPS)
	main, shot := c.main, c.shot

	if !main.has(0x010F) && !main.has(0x0110) {
		main.text(0x010F, m.Make)
		main.text(0x0110, m.Model)
	}
	main.text(0x010E, m.Caption) // ImageDescription
	main.short(0x0112, 1)        // Orientation: the pixels are upright
	main.fraction(0x011A, o.ppi(), 1)
	main.fraction(0x011B, o.ppi(), 1)
	main.short(0x0128, 2) // ResolutionUnit: inches
	main.text(0x013B, m.Creator)
	if !grey {
		main.short(0x0213, 1)                  // YCbCrPositioning: centred, as in JFIF
		shot.bytes(0x9101, "\x01\x02\x03\x00") // ComponentsConfiguration: Y, Cb, Cr
	}
	main.text(0x8298, m.Copyright)

	shot.bytes(0x9000, "0231") // ExifVersion: from here on there are zones
	shot.bytes(0xA000, "0100")
	shot.long(0xA002, width)
	shot.long(0xA003, height)
	if o.Space == icc.SpaceSRGB {
		shot.short(0xA001, 1)
	} else {
		shot.short(0xA001, 0xFFFF) // uncalibrated: the profile says which
	}
	if t := m.Taken; t.Known() {
		// Of a camera's picture both are the time of the exposure (4.6.5).
		for _, tags := range [][3]uint16{{0x9003, 0x9291, 0x9011}, {0x9004, 0x9292, 0x9012}} {
			shot.text(tags[0], t.Wall.Format("2006:01:02 15:04:05"))
			shot.text(tags[1], subSeconds(t))
			if t.HasZone {
				shot.text(tags[2], zone(t))
			}
		}
	}

	out := []byte("MM\x00\x2A\x00\x00\x00\x08")
	// The main directory is first; what it points to follows, in the order below.
	main.long(0x8769, 0)
	if c.place != nil {
		main.long(0x8825, 0)
	}
	out, at := main.append(out)
	point := func(tag uint16) { binary.BigEndian.PutUint32(out[at[tag]:], uint32(len(out))) }
	point(0x8769)
	if o.Space == icc.SpaceAdobeRGB { // DCF 2.0 §4.3: the optional colour space
		shot.long(0xA005, 0)
	}
	out, inShot := shot.append(out)
	if o.Space == icc.SpaceAdobeRGB {
		binary.BigEndian.PutUint32(out[inShot[0xA005]:], uint32(len(out)))
		interop := directory{}
		interop.text(0x0001, "R03")
		interop.bytes(0x0002, "0100")
		out, _ = interop.append(out)
	}
	if c.place != nil {
		point(0x8825)
		out, _ = c.place.append(out)
	}
	if len(out) > maxExif {
		return nil, &MetaError{"Exif", len(out), maxExif}
	}
	return out, nil
}

// append appends the directory in the order of its tags, and its values behind it;
// at says where the four bytes of each entry's value or offset lie.
func (d directory) append(dst []byte) (out []byte, at map[uint16]int) {
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
