package imprint

import (
	"encoding/binary"

	"garner/preview/icc"
	"garner/preview/internal/ifd"
)

// This file writes Exif: CIPA DC-008-2019.

// maxExif is what a segment has room for behind Exif's six bytes.
const maxExif = 65533 - 6

// exifBytes returns the Exif of a picture of width by height with cleaned
// metadata, as a TIFF structure.
func exifBytes(m *Meta, o *Output, width, height int, grey bool) ([]byte, error) {
	c := carry(m.Exif, m.KeepSerial, m.KeepGPS)
	main, shot := c.main, c.shot

	if !main.Has(0x010F) && !main.Has(0x0110) {
		main.Text(0x010F, m.Make)
		main.Text(0x0110, m.Model)
	}
	main.Text(0x010E, m.Caption) // ImageDescription
	main.Short(0x0112, 1)        // Orientation: the pixels are upright
	main.Fraction(0x011A, o.ppi(), 1)
	main.Fraction(0x011B, o.ppi(), 1)
	main.Short(0x0128, 2) // ResolutionUnit: inches
	main.Text(0x013B, m.Creator)
	if !grey {
		main.Short(0x0213, 1)                  // YCbCrPositioning: centred, as in JFIF
		shot.Bytes(0x9101, "\x01\x02\x03\x00") // ComponentsConfiguration: Y, Cb, Cr
	}
	main.Text(0x8298, m.Copyright)

	shot.Bytes(0x9000, "0231") // ExifVersion: from here on there are zones
	shot.Bytes(0xA000, "0100")
	shot.Long(0xA002, width)
	shot.Long(0xA003, height)
	if o.Space == icc.SpaceSRGB {
		shot.Short(0xA001, 1)
	} else {
		shot.Short(0xA001, 0xFFFF) // uncalibrated: the profile says which
	}
	if t := m.Taken; t.Known() {
		// Of a camera's picture both are the time of the exposure (4.6.5).
		for _, tags := range [][3]uint16{{0x9003, 0x9291, 0x9011}, {0x9004, 0x9292, 0x9012}} {
			shot.Text(tags[0], t.Wall.Format("2006:01:02 15:04:05"))
			shot.Text(tags[1], subSeconds(t))
			if t.HasZone {
				shot.Text(tags[2], zone(t))
			}
		}
	}

	out := []byte(ifd.Header)
	// The main directory is first; what it points to follows, in the order below.
	main.Long(0x8769, 0)
	if c.place != nil {
		main.Long(0x8825, 0)
	}
	out, at := main.Append(out)
	point := func(tag uint16) { binary.BigEndian.PutUint32(out[at[tag]:], uint32(len(out))) }
	point(0x8769)
	if o.Space == icc.SpaceAdobeRGB { // DCF 2.0 §4.3: the optional colour space
		shot.Long(0xA005, 0)
	}
	out, inShot := shot.Append(out)
	if o.Space == icc.SpaceAdobeRGB {
		binary.BigEndian.PutUint32(out[inShot[0xA005]:], uint32(len(out)))
		interop := ifd.Directory{}
		interop.Text(0x0001, "R03")
		interop.Bytes(0x0002, "0100")
		out, _ = interop.Append(out)
	}
	if c.place != nil {
		point(0x8825)
		out, _ = c.place.Append(out)
	}
	if len(out) > maxExif {
		return nil, &MetaError{"Exif", len(out), maxExif}
	}
	return out, nil
}
