package exif_test

import (
	"encoding/binary"
	"testing"

	"garner/preview/exif"
	"garner/preview/internal/craft"
)

// afInfo is Canon's list of n points, of which those in focus are named; point i
// lies 10i to the right of the middle and 5i above it, in a picture of 3000x2000.
func afInfo(n int, focus ...int) []uint16 {
	v := []uint16{0, 2, uint16(n), uint16(n), 6000, 4000, 3000, 2000}
	for _, f := range []func(i int) int{func(int) int { return 60 }, func(int) int { return 40 }, func(i int) int { return 10 * i }, func(i int) int { return 5 * i }} {
		for i := range n {
			v = append(v, uint16(f(i)))
		}
	}
	mask := make([]uint16, (n+15)/16)
	for _, i := range focus {
		mask[i/16] |= 1 << (i % 16)
	}
	v = append(append(v, mask...), mask...)
	v[0] = uint16(2 * len(v))
	return v
}

// The layouts are those of the reference reader exiftool: Canon's AFInfo2, where
// 0,0 is the middle and y runs up in EOS bodies, and Sony's FocusLocation.
func TestPointOfFocus(t *testing.T) {
	le := binary.ByteOrder(binary.LittleEndian)
	at := func(x, y, w, h int) exif.Area { return exif.Area{X: x, Y: y, W: w, H: h, Given: true} }
	cut := func(v []uint16, n int) []uint16 { return v[:len(v)-n] }
	with := func(v []uint16, i int, x uint16) []uint16 { v[i] = x; return v }
	for _, c := range []struct {
		name, maker, model string
		tag                uint16
		value              []uint16
		want               exif.Area
	}{
		{"one point", "Canon", "Canon EOS R6", 0x0026, afInfo(9, 3), at(3060, 1970, 120, 80)},
		{"the one in the middle of several", "Canon", "Canon EOS R6", 0x0026, afInfo(45, 8, 20, 30, 33, 40), at(3600, 1700, 120, 80)},
		{"none in focus", "Canon", "Canon EOS R6", 0x0026, afInfo(45), exif.Area{}},
		{"a thousand points", "Canon", "Canon EOS R5", 0x0026, afInfo(1053, 100), at(5000, 1000, 120, 80)},
		{"not an EOS: another direction", "Canon", "Canon PowerShot G1 X", 0x0026, afInfo(9, 3), exif.Area{}},
		{"more points than there are", "Canon", "Canon EOS R6", 0x0026, with(afInfo(9, 3), 2, 5000), exif.Area{}},
		{"list cut off", "Canon", "Canon EOS R6", 0x0026, cut(afInfo(9, 3), 3), exif.Area{}},
		{"more valid ones than points", "Canon", "Canon EOS R6", 0x0026, with(afInfo(9, 3), 3, 10), exif.Area{}},
		{"only the first two valid", "Canon", "Canon EOS R6", 0x0026, with(afInfo(9, 3), 3, 2), exif.Area{}},
		{"outside of the picture", "Canon", "Canon EOS R6", 0x0026, afInfo(1053, 1000), exif.Area{}},
		{"a picture without a size", "Canon", "Canon EOS R6", 0x0026, with(afInfo(9, 3), 6, 0), exif.Area{}},
		{"a picture of another shape", "Canon", "Canon EOS R6", 0x0026, with(afInfo(9, 3), 6, 2000), exif.Area{}},
		{"empty", "Canon", "Canon EOS R6", 0x0026, []uint16{0, 0, 0}, exif.Area{}},
		{"Sony", "SONY", "ILCE-6700", 0x2027, []uint16{3000, 2000, 500, 400}, at(1000, 800, 0, 0)},
		{"Sony: the middle is not known", "SONY", "ILCE-6700", 0x2027, []uint16{3000, 2000, 1500, 1000}, exif.Area{}},
		{"Sony: panorama", "SONY", "ILCE-6700", 0x2027, []uint16{0, 0, 0, 0}, exif.Area{}},
		{"Sony: outside", "SONY", "ILCE-6700", 0x2027, []uint16{3000, 2000, 3000, 5}, exif.Area{}},
		{"Sony: three values", "SONY", "ILCE-6700", 0x2027, []uint16{3000, 2000, 500}, exif.Area{}},
	} {
		b := craft.NewTIFF(le)
		head := ""
		if c.maker == "SONY" {
			head = "SONY DSC \x00\x00\x00"
		}
		place := b.Len()
		note := flat(le, head, func(b *craft.TIFF) []craft.Field {
			return []craft.Field{b.Short(c.tag, c.value...), b.Short(0xFFF0, 1)}
		})(place)
		b.Blob(note)
		field := b.Long(0x927C, place)
		field.Type, field.Count = 7, uint32(len(note))
		sub := b.IFD(0, field, b.Long(0xA002, 6000), b.Long(0xA003, 4000))
		data := b.Bytes(b.IFD(0, b.Text(0x010F, c.maker), b.Text(0x0110, c.model), b.Long(0x8769, sub)))
		m, err := read(t, data, exif.RootIFD0, exif.NewMeta())
		if err != nil || m.Subject != c.want {
			t.Errorf("%s: %+v, %v, want %+v", c.name, m.Subject, err, c.want)
		}
	}
}

// What Exif itself says comes before the maker's note.
func TestSubjectAreaBeforeTheNote(t *testing.T) {
	le := binary.ByteOrder(binary.LittleEndian)
	b := craft.NewTIFF(le)
	place := b.Len()
	note := flat(le, "", func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Short(0x0026, afInfo(9, 3)...)} })(place)
	b.Blob(note)
	field := b.Long(0x927C, place)
	field.Type, field.Count = 7, uint32(len(note))
	sub := b.IFD(0, b.Short(0x9214, 77, 88), field, b.Long(0xA002, 6000), b.Long(0xA003, 4000))
	m, err := read(t, b.Bytes(b.IFD(0, b.Text(0x010F, "Canon"), b.Text(0x0110, "Canon EOS R6"), b.Long(0x8769, sub))), exif.RootIFD0, exif.NewMeta())
	if err != nil || m.Subject != (exif.Area{X: 77, Y: 88, Given: true}) {
		t.Errorf("%+v, %v", m.Subject, err)
	}
}

func TestScaledArea(t *testing.T) {
	a := exif.Area{X: 100, Y: 50, W: 20, H: 10, Given: true}
	for _, c := range []struct {
		name string
		size [4]int
		want exif.Area
	}{
		{"half", [4]int{6000, 4000, 3000, 2000}, exif.Area{X: 50, Y: 25, W: 10, H: 5, Given: true}},
		{"nearly the same shape", [4]int{6000, 4000, 1620, 1080}, exif.Area{X: 27, Y: 13, W: 5, H: 2, Given: true}},
		{"the same", [4]int{6000, 4000, 6000, 4000}, a},
		{"not known from what", [4]int{0, 0, 300, 200}, a},
		{"another shape", [4]int{6000, 4000, 3000, 3000}, exif.Area{}},
		{"to nothing", [4]int{6000, 4000, 0, 0}, exif.Area{}},
	} {
		if got := a.Scaled(c.size[0], c.size[1], c.size[2], c.size[3]); got != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
	if got := (exif.Area{X: 5}).Scaled(6, 4, 3, 2); got.Given {
		t.Errorf("not given: %+v", got)
	}
}

// FuzzSubjectArea takes any entry for SubjectArea and the two makers' fields. What
// comes out is not negative and lies in the picture where it is the maker's.
func FuzzSubjectArea(f *testing.F) {
	words := func(v []uint16) (b []byte) {
		for _, x := range v {
			b = binary.LittleEndian.AppendUint16(b, x)
		}
		return b
	}
	f.Add(uint16(3), uint32(4), words([]uint16{3000, 2000, 400, 300}), uint16(0x9214), false)
	f.Add(uint16(4), uint32(2), words([]uint16{0xFFFF, 0xFFFF, 0xFFFF, 0xFFFF}), uint16(0x9214), false)
	canon := afInfo(9, 3)
	f.Add(uint16(3), uint32(len(canon)), words(canon), uint16(0x0026), false)
	f.Add(uint16(3), uint32(0xFFFFFFFF), words(canon), uint16(0x0026), false)
	f.Add(uint16(3), uint32(4), words([]uint16{3000, 2000, 500, 400}), uint16(0x2027), true)
	f.Fuzz(func(t *testing.T, typ uint16, count uint32, value []byte, tag uint16, sony bool) {
		if len(value) > 20000 {
			return
		}
		maker, head := "Canon", ""
		if sony {
			maker, head = "SONY", "SONY DSC \x00\x00\x00"
		}
		field := craft.Field{Tag: tag, Type: typ, Count: count, Data: value}
		b := craft.NewTIFF(binary.LittleEndian)
		place := b.Len()
		note := flat(binary.LittleEndian, head, func(b *craft.TIFF) []craft.Field { return []craft.Field{field, b.Short(0xFFF0, 1)} })(place)
		b.Blob(note)
		mn := b.Long(0x927C, place)
		mn.Type, mn.Count = 7, uint32(len(note))
		sub := b.IFD(0, field, mn, b.Long(0xA002, 6000), b.Long(0xA003, 4000))
		m, _ := read(t, b.Bytes(b.IFD(0, b.Text(0x010F, maker), b.Text(0x0110, "EOS"), b.Long(0x8769, sub))), exif.RootIFD0, exif.NewMeta())
		if a := m.Subject; a.X < 0 || a.Y < 0 || a.W < 0 || a.H < 0 || !a.Given && a != (exif.Area{}) {
			t.Fatalf("%+v", a)
		}
	})
}
