package exif_test

import (
	"encoding/binary"
	"testing"

	"garner/preview/exif"
	"garner/preview/internal/craft"
)

// withNote builds a file whose maker note is made by build, which is told where
// in the file the note will begin and returns its bytes.
func withNote(t *testing.T, order binary.ByteOrder, maker, model string, build func(at uint32) []byte) exif.Meta {
	t.Helper()
	b := craft.NewTIFF(order)
	at := b.Len()
	note := build(at)
	b.Blob(note)
	field := b.Long(0x927C, at) // the value lies there already
	field.Type, field.Count = 7, uint32(len(note))
	sub := b.IFD(0, field)
	data := b.Bytes(b.IFD(0, b.Text(0x010F, maker), b.Text(0x0110, model), b.Long(0x8769, sub)))
	m, err := read(t, data, exif.RootIFD0, exif.NewMeta())
	if err != nil {
		t.Fatalf("%s: %v", maker, err)
	}
	return m
}

// flat is a note whose offsets count from the file: a head, then a directory that
// is built at its true place.
func flat(order binary.ByteOrder, head string, fields func(b *craft.TIFF) []craft.Field) func(uint32) []byte {
	return func(at uint32) []byte {
		// Values come first in the builder, so the directory is made twice: once to
		// learn how long the values are, then with them behind it.
		b := craft.NewTIFF(order)
		b.Blob(make([]byte, int(at)+len(head)-8))
		fs := fields(b)
		dir := 2 + 12*uint32(len(fs)) + 4
		pos := b.Len() + dir
		var values []byte
		for i := range fs {
			if n := len(fs[i].Data); n > 4 {
				place := b.Long(0, pos+uint32(len(values))).Data
				values = append(values, fs[i].Data...)
				fs[i].Data = place
			}
		}
		start := b.Len()
		b.IFD(0, fs...)
		b.Blob(values)
		return append([]byte(head), b.Bytes(8)[start:]...)
	}
}

// own is a note whose offsets count from its own start.
func own(order binary.ByteOrder, head string, fields func(b *craft.TIFF) []craft.Field) func(uint32) []byte {
	return func(uint32) []byte { return flat(order, head, fields)(0) }
}

func TestCanonNote(t *testing.T) {
	note := func(b *craft.TIFF) []craft.Field {
		return []craft.Field{
			b.Long(0x0008, 1060023), b.Long(0x000C, 0x006900A3), b.Text(0x0095, "EF50mm f/1.2L USM"), b.Short(0x00B4, 2),
			b.Short(0x0100, 1, 2, 3),
		}
	}
	// The three forms of the number are the reference reader's; the first is also how
	// it was seen for this very value in a published dump.
	for model, serial := range map[string]string{
		"Canon EOS D30": "006900163", "Canon EOS-1Ds Mark III": "6881443", "Canon EOS 7D": "0006881443",
	} {
		m := withNote(t, binary.LittleEndian, "Canon", model, flat(binary.LittleEndian, "", note))
		if m.Serial != serial || m.Counter != 1060023 || m.Lens != "EF50mm f/1.2L USM" || m.ColorSpace != "Adobe RGB" {
			t.Errorf("%s: %+v", model, m)
		}
	}
	// A raw file of the ISO-BMFF kind has the note as a structure of its own.
	b := craft.NewTIFF(binary.LittleEndian)
	m := exif.NewMeta()
	m.Model = "Canon EOS R6"
	m, err := read(t, b.Bytes(b.IFD(0, note(b)...)), exif.RootCanonNote, m)
	if err != nil || m.Serial != "0006881443" || m.Counter != 1060023 {
		t.Errorf("as a root: %+v, %v", m, err)
	}
}

func TestNikonNote(t *testing.T) {
	fields := func(b *craft.TIFF) []craft.Field {
		return []craft.Field{
			b.Short(0x0002, 0, 640), b.Text(0x001D, "6003812"), b.Short(0x001E, 2),
			b.Rational(0x0084, 24, 1, 70, 1, 28, 10, 28, 10), b.Long(0x00A7, 48213),
		}
	}
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		// A TIFF structure of its own, in an order of its own, ten bytes in.
		m := withNote(t, binary.LittleEndian, "NIKON CORPORATION", "NIKON D810", func(uint32) []byte {
			b := craft.NewTIFF(order)
			return append([]byte("Nikon\x00\x02\x10\x00\x00"), b.Bytes(b.IFD(0, fields(b)...))...)
		})
		if m.Serial != "6003812" || m.Counter != 48213 || m.ISO != 640 || m.ColorSpace != "Adobe RGB" || m.Lens != "24-70mm f/2.8" {
			t.Errorf("%v: %+v", order, m)
		}
	}
	m := withNote(t, binary.BigEndian, "NIKON CORPORATION", "NIKON D70", func(uint32) []byte {
		b := craft.NewTIFF(binary.BigEndian)
		return append([]byte("Nikon\x00\x02\x10\x00\x00"), b.Bytes(b.IFD(0, b.Text(0x00A0, "NO= 12345678"), b.Long(0x00A7, 4294965247)))...)
	})
	if m.Serial != "12345678" || m.Counter != 0 {
		t.Errorf("older: serial %q, counter %d", m.Serial, m.Counter)
	}
}

func TestExifSerialComesBeforeTheNotes(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	note := flat(binary.LittleEndian, "", func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Long(0x000C, 1), b.Short(2, 2)} })(b.Len())
	at := b.Blob(note)
	field := b.Long(0x927C, at)
	field.Type, field.Count = 7, uint32(len(note))
	sub := b.IFD(0, field, b.Text(0xA431, "073024014625"))
	m, err := read(t, b.Bytes(b.IFD(0, b.Text(0x010F, "Canon"), b.Long(0x8769, sub))), exif.RootIFD0, exif.NewMeta())
	if err != nil || m.Serial != "073024014625" {
		t.Errorf("serial %q, %v", m.Serial, err)
	}
}

func TestOtherNotes(t *testing.T) {
	le, be := binary.ByteOrder(binary.LittleEndian), binary.ByteOrder(binary.BigEndian)
	text := func(tag uint16, s string) func(b *craft.TIFF) []craft.Field {
		return func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Text(tag, s), b.Short(0xFFF0, 1)} }
	}
	num := func(tag uint16, v uint32) func(b *craft.TIFF) []craft.Field {
		return func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Long(tag, v), b.Short(0xFFF0, 1)} }
	}
	for _, c := range []struct {
		name, maker string
		order       binary.ByteOrder
		note        func(uint32) []byte
		got         func(exif.Meta) any
		want        any
	}{
		{"Sony rating", "SONY", le, flat(le, "SONY DSC \x00\x00\x00", num(0x2002, 3)), rating, 3},
		{"Sony rating, unknown", "SONY", le, flat(le, "SONY DSC \x00\x00\x00", num(0x2002, 0xFFFFFFFF)), rating, 0},
		{"Sony without a head", "SONY", le, flat(le, "", num(0x2002, 2)), rating, 2},
		{"Pentax AOC", "PENTAX", be, flat(be, "AOC\x00MM", text(0x0229, "6211161")), serial, "6211161"},
		{"Pentax AOC in another order", "PENTAX", le, flat(be, "AOC\x00MM", text(0x0229, "6211161")), serial, "6211161"},
		{"Pentax", "RICOH", le, own(be, "PENTAX \x00MM", text(0x0229, "6211161")), serial, "6211161"},
		{"Panasonic", "Panasonic", le, flat(le, "Panasonic\x00\x00\x00", text(0x0025, "F350807010058")), serial, "F350807010058"},
		{"Olympus", "OLYMPUS", le, own(le, "OLYMPUS\x00II\x03\x00", text(0x0404, "C123456")), serial, "C123456"},
		{"Olympus, early", "OLYMPUS", be, flat(be, "OLYMP\x00\x01\x00", text(0x0404, "C123456")), serial, "C123456"},
		{"OM", "OM Digital", le, own(le, "OM SYSTEM\x00\x00\x00II\x04\x00", text(0x0404, "BJ1")), serial, "BJ1"},
		{"Fujifilm rating", "FUJIFILM", be, own(le, "FUJIFILM\x0C\x00\x00\x00", num(0x1431, 5)), rating, 5},
		{"Fujifilm counter", "FUJIFILM", be, own(le, "FUJIFILM\x0C\x00\x00\x00", num(0x1438, 0x8123)), counter, int64(0x123)},
		{"Samsung", "SAMSUNG", le, flat(le, "", text(0xA002, "A1B2C3D4")), serial, "A1B2C3D4"},
		{"Canon, the file rewritten in the other order", "Canon", be, flat(le, "", num(0x0008, 1070758)), counter, int64(1070758)},
		{"Sony text instead of a directory", "SONY", le, func(uint32) []byte { return []byte("SONY PI\x00 and text, no directory at all") }, rating, 0},
		{"somebody else's", "ACME", le, flat(le, "", text(0x000C, "no")), serial, ""},
	} {
		if got := c.got(withNote(t, c.order, c.maker, "model", c.note)); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func rating(m exif.Meta) any  { return m.Rating }
func serial(m exif.Meta) any  { return m.Serial }
func counter(m exif.Meta) any { return m.Counter }

func TestOlympusEquipment(t *testing.T) {
	le := binary.ByteOrder(binary.LittleEndian)
	m := withNote(t, le, "OLYMPUS", "E-M1", func(uint32) []byte {
		const head = "OLYMPUS\x00II\x03\x00"
		b := craft.NewTIFF(le)
		b.Blob(make([]byte, len(head)-8))
		start := b.Len()
		// The note's directory comes first; the equipment's follows it.
		equipment := start + 2 + 12 + 4 + uint32(len("BHP123456\x00")+len("LENS 12-40mm\x00"))
		b.IFD(0, b.Long(0x2010, equipment))
		if at := b.IFD(0, b.Text(0x0101, "BHP123456"), b.Text(0x0203, "LENS 12-40mm")); at != equipment {
			t.Fatalf("equipment at %d, not %d", at, equipment)
		}
		return append([]byte(head), b.Bytes(8)[start:]...)
	})
	if m.Serial != "BHP123456" || m.Lens != "LENS 12-40mm" {
		t.Errorf("%+v", m)
	}
}
