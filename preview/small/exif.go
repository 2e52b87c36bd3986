package small

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"unicode"

	"garner/preview/exif"
	"garner/preview/icc"
	"garner/preview/internal/ifd"
	"garner/preview/tiff"
)

// This file writes what viewers want to know: Exif, CIPA DC-008-2019 §4.6. The
// numbers that a frame is known again by are in the XMP, in full.

// exifBytes returns the Exif of a small picture as a TIFF structure. src is the
// picture, of which the colour profile counts.
func exifBytes(o *Original, c *camera, src []byte) []byte {
	m := &o.Meta
	var main, shot ifd.Directory
	main.Text(0x010F, line(m.Make))
	main.Text(0x0110, line(m.Model))
	main.Short(0x0112, max(1, m.Orientation))
	main.Fraction(0x011A, 72, 1) // of no meaning, and mandatory
	main.Fraction(0x011B, 72, 1)
	main.Short(0x0128, 2)
	main.Text(0x0131, line(m.Software))
	main.Long(0x8769, 0)

	fraction(&shot, 0x829A, tiff.Rational, m.Seconds)
	fraction(&shot, 0x829D, tiff.Rational, m.FNumber)
	if m.ISO > 0 {
		shot.Short(0x8827, min(m.ISO, 0xFFFF)) // what is more is told as that (4.6.5)
	}
	shot.Bytes(0x9000, "0232")
	if m.Taken.Known() {
		for _, tags := range [][3]uint16{{0x9003, 0x9291, 0x9011}, {0x9004, 0x9292, 0x9012}} {
			shot.Text(tags[0], m.Taken.Wall.Format("2006:01:02 15:04:05"))
			shot.Text(tags[1], subSeconds(m.Taken))
			if m.Taken.HasZone {
				shot.Text(tags[2], zone(m.Taken))
			}
		}
	}
	if c.components == 3 {
		shot.Bytes(0x9101, "\x01\x02\x03\x00") // Y, Cb, Cr
	}
	if m.Bias != nil {
		fraction(&shot, 0x9204, tiff.SRational, *m.Bias)
	}
	if m.Flash != exif.FlashUnknown {
		fired := 0
		if m.Flash == exif.FlashFired {
			fired = 1
		}
		shot.Short(0x9209, fired)
	}
	fraction(&shot, 0x920A, tiff.Rational, m.FocalLength)
	if m.Counter > 0 && m.Counter <= math.MaxUint32 {
		shot.Long(0x9211, int(m.Counter))
	}
	shot.Bytes(0xA000, "0100")
	colour, index := colours(src, m.ColorSpace)
	if colour != 0 {
		shot.Short(0xA001, colour)
	}
	shot.Long(0xA002, c.width)
	shot.Long(0xA003, c.height)
	if m.ExposureMode >= 0 {
		shot.Short(0xA402, m.ExposureMode)
	}
	if m.ManualWB {
		shot.Short(0xA403, 1)
	}
	shot.Text(0xA420, line(m.UniqueID))
	shot.Text(0xA431, line(m.Serial))
	shot.Text(0xA434, line(m.Lens))
	if index != "" {
		shot.Long(0xA005, 0)
	}

	out, at := main.Append([]byte(ifd.Header))
	binary.BigEndian.PutUint32(out[at[0x8769]:], uint32(len(out)))
	out, at = shot.Append(out)
	if index != "" {
		binary.BigEndian.PutUint32(out[at[0xA005]:], uint32(len(out)))
		var interop ifd.Directory
		interop.Text(0x0001, index)
		interop.Bytes(0x0002, "0100")
		out, _ = interop.Append(out)
	}
	return out
}

// colours says what the samples mean as Exif does: 1 is sRGB, 0xFFFF any other space,
// of which DCF 2.0 §4.3 names one by an index. The picture's own profile counts
// before what the camera was set to. 0 = nobody knows.
func colours(src []byte, said string) (space int, index string) {
	if b, err := icc.FromJPEG(src); err != nil || b != nil {
		if p, perr := icc.Parse(b); err == nil && perr == nil && p.IsSRGB() {
			return 1, "R98"
		}
		return 0xFFFF, ""
	}
	switch said {
	case "sRGB":
		return 1, "R98"
	case "Adobe RGB":
		return 0xFFFF, "R03"
	case "":
		return 0, ""
	}
	return 0xFFFF, ""
}

// fraction adds a number that is not zero, or may be where it has a sign, as the
// simplest fraction that is within a millionth of it.
func fraction(d *ifd.Directory, tag uint16, kind tiff.Type, v float64) {
	sign := 1.0
	if v < 0 && kind == tiff.SRational {
		sign, v = -1, -v
	}
	if v == 0 && kind == tiff.Rational || !(v >= 0 && v < 1<<20) {
		return
	}
	// Continued fractions: each step is the best there is with so small a denominator.
	var n0, d0, n1, d1 float64 = 0, 1, 1, 0
	for x := v; ; {
		whole := math.Floor(x)
		n0, n1 = n1, whole*n1+n0
		d0, d1 = d1, whole*d1+d0
		if n1 > math.MaxInt32 || d1 > math.MaxInt32 {
			n1, d1 = n0, d0
			break
		}
		if x -= whole; x == 0 || math.Abs(n1/d1-v) <= 1e-6*v {
			break
		}
		x = 1 / x
	}
	if d1 == 0 || n1 == 0 && v != 0 {
		return
	}
	b := binary.BigEndian.AppendUint32(nil, uint32(int32(sign*n1)))
	d.Add(tag, kind, 1, binary.BigEndian.AppendUint32(b, uint32(d1)))
}

// subSeconds are the digits behind the second that are known.
func subSeconds(t exif.Time) string {
	return fmt.Sprintf("%09d", t.Wall.Nanosecond())[:min(max(t.Digits, 0), 9)]
}

// zone is that of t as +hh:mm.
func zone(t exif.Time) string {
	z, sign := t.Zone, '+'
	if z < 0 {
		z, sign = -z, '-'
	}
	return fmt.Sprintf("%c%02d:%02d", sign, z/60, z%60)
}

// maxLine is more than any field of a camera has.
const maxLine = 500

// line is text of a camera as it goes into a field of one line.
func line(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == unicode.ReplacementChar {
			return -1
		}
		return r
	}, s)
	if len(s) > maxLine {
		s = strings.ToValidUTF8(s[:maxLine], "")
	}
	return strings.TrimSpace(s)
}
