package build

import (
	"fmt"
	"strings"
)

// This file writes the tags of Exif 2.32 (CIPA DC-008) §4.6 for one Shot.

// describe puts the tags of the primary image that every layout shares into an
// IFD0: who made it, which way is up, when.
func describe(d *ifd, s Shot) {
	d.ascii(0x010F, s.Make)
	d.ascii(0x0110, s.Model)
	d.short(0x0112, uint16(max(s.Orientation, 1)))
	d.rational(0x011A, typeRational, Rational{72, 1})
	d.rational(0x011B, typeRational, Rational{72, 1})
	d.short(0x0128, 2)
	d.ascii(0x0131, s.Software)
	d.ascii(0x0132, s.Taken.date())
	if s.Rating > 0 {
		d.short(0x4746, uint16(s.Rating))
	}
}

// exifIFD makes the Exif IFD of a shot.
func exifIFD(like *ifd, s Shot) *ifd {
	d := newIFD(like.order)
	d.rational(0x829A, typeRational, s.Seconds)
	d.rational(0x829D, typeRational, s.FNumber)
	if s.ISO > 0 {
		// Exif 2.32: PhotographicSensitivity holds 16 bits, 65535 stands for more.
		d.short(0x8827, uint16(min(s.ISO, 65535)))
		d.short(0x8830, 2)
		d.long(0x8832, uint32(s.ISO))
	}
	d.undefined(0x9000, []byte("0232"))
	d.ascii(0x9003, s.Taken.date())
	d.ascii(0x9004, s.Taken.date())
	if s.Taken.HasZone {
		for _, tag := range []uint16{0x9010, 0x9011, 0x9012} {
			d.ascii(tag, s.Taken.zone())
		}
	}
	d.rational(0x9204, typeSRational, s.Bias)
	flash := uint16(0x10) // off, compulsory
	if s.Flash {
		flash = 0x09 // fired, compulsory
	}
	d.short(0x9209, flash)
	d.rational(0x920A, typeRational, s.Focal)
	if s.Counter > 0 {
		d.long(0x9211, uint32(s.Counter))
	}
	if a := s.SubjectArea; a != nil {
		if a.W == 0 && a.H == 0 {
			d.short(0x9214, uint16(a.X), uint16(a.Y))
		} else {
			d.short(0x9214, uint16(a.X), uint16(a.Y), uint16(a.W), uint16(a.H))
		}
	}
	for _, tag := range []uint16{0x9290, 0x9291, 0x9292} {
		d.ascii(tag, s.Taken.fraction())
	}
	d.short(0xA001, s.colorSpace())
	d.short(0xA402, s.exposureMode())
	d.short(0xA403, 0)
	d.short(0xA406, 0)
	d.ascii(0xA420, s.UniqueID)
	d.ascii(0xA431, s.Serial)
	d.ascii(0xA434, s.Lens)
	return d
}

// compressed adds what Exif 2.32 table 21 asks of a JPEG's Exif IFD besides.
func compressed(exif *ifd, s Shot) {
	exif.undefined(0x9101, []byte{1, 2, 3, 0})
	exif.undefined(0xA000, []byte("0100"))
	exif.long(0xA002, uint32(s.Width))
	exif.long(0xA003, uint32(s.Height))
	inter := newIFD(exif.order)
	index := "R98"
	if s.AdobeRGB {
		index = "R03"
	}
	inter.ascii(0x0001, index)
	inter.undefined(0x0002, []byte("0100"))
	exif.sub(0xA005, inter)
}

func (s Shot) colorSpace() uint16 {
	if s.AdobeRGB {
		return 0xFFFF
	}
	return 1
}

func (s Shot) exposureMode() uint16 {
	switch {
	case s.Bracket:
		return 2
	case s.Manual:
		return 1
	}
	return 0
}

// date is the 19 characters of an Exif time; Exif writes an unknown one as
// blanks with the colons kept.
func (c Clock) date() string {
	if c.Wall.IsZero() {
		return "    :  :     :  :  "
	}
	return c.Wall.UTC().Format("2006:01:02 15:04:05")
}

// fraction is the sub-second as decimal digits, left-aligned: 0.07 s with two
// digits is "07".
func (c Clock) fraction() string {
	if c.Digits == 0 || c.Wall.IsZero() {
		return ""
	}
	return fmt.Sprintf("%09d", c.Wall.Nanosecond())[:c.Digits]
}

func (c Clock) zone() string {
	sign, m := "+", c.Zone
	if m < 0 {
		sign, m = "-", -m
	}
	return fmt.Sprintf("%s%02d:%02d", sign, m/60, m%60)
}

// xmpPacket is the small packet a body writes for its rating.
func xmpPacket(s Shot) []byte {
	var b strings.Builder
	b.WriteString("<?xpacket begin=\"\ufeff\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n")
	b.WriteString("<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">")
	fmt.Fprintf(&b, "<rdf:Description rdf:about=\"\" xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"><xmp:Rating>%d</xmp:Rating></rdf:Description>", s.Rating)
	b.WriteString("</rdf:RDF></x:xmpmeta>\n<?xpacket end=\"w\"?>")
	return []byte(b.String())
}
