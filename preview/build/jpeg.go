package build

import (
	"encoding/binary"
	"errors"
)

// maxSegment is the payload limit of one JPEG marker segment, ITU-T T.81
// §B.1.1.4: 65535 less the two length bytes.
const maxSegment = 65533

// JPEG returns p.Full with an Exif APP1 segment (and p.Thumb in its IFD1)
// directly behind SOI, and with an XMP APP1 behind that if xmp is true. Pixels
// are not touched. p.Screen is not used.
func JPEG(s Shot, p Pictures, xmp bool) ([]byte, error) {
	if err := check(s, p); err != nil {
		return nil, err
	}
	exif, err := exifBlock(s, p.Thumb)
	if err != nil {
		return nil, err
	}
	out := append(make([]byte, 0, len(p.Full)+len(exif)+1024), 0xFF, 0xD8)
	if out, err = segment(out, 0xE1, "Exif\x00\x00", exif); err != nil {
		return nil, err
	}
	if xmp {
		// XMP Part 3 §1.1.3: behind the Exif segment, before all others.
		if out, err = segment(out, 0xE1, "http://ns.adobe.com/xap/1.0/\x00", xmpPacket(s)); err != nil {
			return nil, err
		}
	}
	return append(out, p.Full[2:]...), nil
}

// exifBlock is the TIFF structure inside an Exif APP1 segment.
func exifBlock(s Shot, thumb []byte) ([]byte, error) {
	d := newIFD(binary.LittleEndian)
	describe(d, s)
	d.short(0x0213, 1)
	exif := exifIFD(d, s)
	compressed(exif, s)
	d.sub(0x8769, exif)
	if thumb != nil {
		d.next = thumbIFD(d, thumb)
	}
	return d.tiff(2)
}

// thumbIFD is IFD1 of Exif 2.32 table 21, a compressed thumbnail.
func thumbIFD(like *ifd, thumb []byte) *ifd {
	d := newIFD(like.order)
	d.short(0x0103, 6)
	d.rational(0x011A, typeRational, Rational{72, 1})
	d.rational(0x011B, typeRational, Rational{72, 1})
	d.short(0x0128, 2)
	d.point(0x0201, 0x0202, thumb)
	return d
}

func segment(out []byte, marker byte, name string, data []byte) ([]byte, error) {
	n := len(name) + len(data)
	if n > maxSegment {
		return nil, errors.New("build: metadata and thumbnail do not fit one marker segment")
	}
	out = append(out, 0xFF, marker)
	out = binary.BigEndian.AppendUint16(out, uint16(n+2))
	out = append(out, name...)
	return append(out, data...), nil
}
