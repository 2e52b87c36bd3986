package exif_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"testing"

	"garner/preview/exif"
	"garner/preview/internal/bin"
	"garner/preview/internal/craft"
	"garner/preview/tiff"
)

// read parses a whole structure as IFD0 and what hangs on it.
func read(t testing.TB, b []byte, root exif.Root, m exif.Meta) (exif.Meta, error) {
	t.Helper()
	src := bin.NewSource(bytes.NewReader(b), int64(len(b)), 16, 128<<10)
	err := exif.Read(src, 0, int64(len(b)), root, &m)
	return m, err
}

// meta builds IFD0 with the main fields and an Exif IFD with the others.
func meta(t testing.TB, order binary.ByteOrder, main, sub func(b *craft.TIFF) []craft.Field) exif.Meta {
	t.Helper()
	b := craft.NewTIFF(order)
	var fields []craft.Field
	if main != nil {
		fields = main(b)
	}
	if sub != nil {
		fields = append(fields, b.Long(0x8769, b.IFD(0, sub(b)...)))
	}
	m, err := read(t, b.Bytes(b.IFD(0, fields...)), exif.RootIFD0, exif.NewMeta())
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestNothingIsGuessed(t *testing.T) {
	m := meta(t, binary.LittleEndian, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Short(0x0100, 0)} }, nil)
	if got, want := fmt.Sprintf("%+v", m), fmt.Sprintf("%+v", exif.NewMeta()); got != want {
		t.Errorf("from an empty file:\n%s\nwant\n%s", got, want)
	}
}

// Tag numbers and meanings: Exif (CIPA DC-008) §4.6.
func TestPlainFields(t *testing.T) {
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		m := meta(t, order, func(b *craft.TIFF) []craft.Field {
			return []craft.Field{
				b.Text(0x010F, "Maker "), b.Text(0x0110, "Model 1"), b.Short(0x0112, 6),
				b.Text(0x0131, "Ver.1.02"), b.Short(0x4746, 4),
			}
		}, func(b *craft.TIFF) []craft.Field {
			return []craft.Field{
				b.Rational(0x829A, 1, 200), b.Rational(0x829D, 28, 10), b.Short(0x8827, 3200),
				b.Text(0x9003, "2022:10:02 17:37:26"), b.Text(0x9011, "+08:00"), b.Text(0x9291, "888"),
				b.SRational(0x9204, -2, 3), b.Short(0x9209, 0x19), b.Rational(0x920A, 85, 1),
				b.Short(0xA001, 1), b.Long(0xA002, 7008), b.Long(0xA003, 4672),
				b.Text(0xA420, "0123456789abcdef0123456789abcdef"), b.Short(0xA402, 2), b.Short(0xA403, 1),
				b.Text(0xA431, "05104310"), b.Text(0xA434, "FE 85mm F1.8"),
			}
		})
		if m.Bias == nil || math.Abs(*m.Bias+2.0/3) > 1e-9 {
			t.Errorf("bias %v", m.Bias)
		}
		m.Bias = nil
		want := exif.Meta{
			Orientation: 6, Taken: exif.ParseTime("2022:10:02 17:37:26", "888", "+08:00"),
			Seconds: 1.0 / 200, FNumber: 2.8, ISO: 3200, Flash: exif.FlashFired, FocalLength: 85,
			Lens: "FE 85mm F1.8", ManualWB: true, ExposureMode: 2, Make: "Maker", Model: "Model 1",
			Serial: "05104310", Software: "Ver.1.02", Width: 7008, Height: 4672, Rating: 4,
			ColorSpace: "sRGB", UniqueID: "0123456789abcdef0123456789abcdef",
		}
		if m != want {
			t.Errorf("%v:\n%+v\nwant\n%+v", order, m, want)
		}
	}
}

// Values 1 to 8: TIFF 6.0, Orientation; anything else is not one.
func TestOrientation(t *testing.T) {
	for v := uint16(0); v <= 10; v++ {
		m := meta(t, binary.BigEndian, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Short(0x0112, v)} }, nil)
		want := int(v)
		if v == 0 || v > 8 {
			want = 0
		}
		if m.Orientation != want {
			t.Errorf("%d read as %d", v, m.Orientation)
		}
	}
}

// Exif Annex C: Av = 2 log2 N and Tv = -log2 t, with the nominal rows of its
// tables. The exact values are own arithmetic.
func TestExposureFromAPEX(t *testing.T) {
	for av, n := range map[uint32]float64{0: 1, 1: 1.4, 2: 2, 3: 2.8, 4: 4, 5: 5.6, 6: 8, 7: 11, 8: 16, 9: 22, 10: 32} {
		m := meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Rational(0x9202, av, 1)} })
		if av == 0 {
			continue // 0/1 is also how "unknown" is written
		}
		if ev := 2 * math.Log2(m.FNumber/n); math.Abs(ev) > 0.1 {
			t.Errorf("Av %d gives f/%v, %v EV from f/%v", av, m.FNumber, ev, n)
		}
	}
	for tv, d := range map[int32]float64{-3: 1.0 / 8, 0: 1, 1: 2, 2: 4, 3: 8, 4: 15, 5: 30, 6: 60, 7: 125, 8: 250, 9: 500, 10: 1000} {
		m := meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.SRational(0x9201, tv, 1)} })
		if ev := math.Log2(m.Seconds * d); math.Abs(ev) > 0.1 {
			t.Errorf("Tv %d gives %v s, %v EV from 1/%v", tv, m.Seconds, ev, d)
		}
	}
}

func TestNumbersThatMeanUnknown(t *testing.T) {
	m := meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field {
		return []craft.Field{
			b.Rational(0x829A, 0, 0), b.Rational(0x829D, 0, 1), b.Short(0x8827, 0), b.SRational(0x9204, -1, 0),
			b.Rational(0x920A, 0xFFFFFFFF, 1), b.Text(0xA431, "0000000"), b.Text(0xA434, "----"),
			b.Rational(0xA432, 0, 0, 0, 0, 0, 0, 0, 0), b.Text(0x9003, "0000:00:00 00:00:00"), b.Short(0xA402, 9),
		}
	})
	if got, want := fmt.Sprintf("%+v", m), fmt.Sprintf("%+v", exif.NewMeta()); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	m = meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.SRational(0x9204, 0, 3)} })
	if m.Bias == nil || *m.Bias != 0 {
		t.Error("a bias of 0 is known to be 0")
	}
	m = meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.SRational(0x9204, 9999, 1)} })
	if m.Bias != nil {
		t.Errorf("a bias of %v EV", *m.Bias)
	}
}

// Exif 2.3 §4.6.5: 65535 in the 16-bit tag refers to the 32-bit ones.
func TestISO(t *testing.T) {
	for _, c := range []struct {
		short                    uint16
		recommended, output, iso uint32
		want                     int
	}{
		{100, 0, 0, 0, 100}, {100, 200, 0, 0, 100}, {65535, 102400, 0, 0, 102400},
		{65535, 0, 204800, 0, 204800}, {65535, 0, 0, 409600, 409600}, {65535, 0, 0, 0, 0}, {0, 51200, 0, 0, 51200},
	} {
		m := meta(t, binary.BigEndian, nil, func(b *craft.TIFF) []craft.Field {
			return []craft.Field{b.Short(0x8827, c.short), b.Long(0x8831, c.output), b.Long(0x8832, c.recommended), b.Long(0x8833, c.iso)}
		})
		if m.ISO != c.want {
			t.Errorf("%+v: %d", c, m.ISO)
		}
	}
}

// Exif 0x9214: two values a point, three a circle, four a rectangle by its centre.
func TestSubjectArea(t *testing.T) {
	for _, c := range []struct {
		in   []uint16
		want exif.Area
	}{
		{[]uint16{3000, 2000}, exif.Area{X: 3000, Y: 2000, Given: true}},
		{[]uint16{3000, 2000, 400}, exif.Area{X: 3000, Y: 2000, W: 400, H: 400, Given: true}},
		{[]uint16{3000, 2000, 400, 300}, exif.Area{X: 3000, Y: 2000, W: 400, H: 300, Given: true}},
		{[]uint16{3000}, exif.Area{}},
		{[]uint16{0, 0, 0, 0}, exif.Area{}},
	} {
		m := meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Short(0x9214, c.in...)} })
		if m.Subject != c.want {
			t.Errorf("%v: %+v", c.in, m.Subject)
		}
	}
}

func TestFlash(t *testing.T) {
	for v, want := range map[uint16]exif.Flash{0: exif.FlashOff, 0x10: exif.FlashOff, 1: exif.FlashFired, 0x1F: exif.FlashFired} {
		m := meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Short(0x9209, v)} })
		if m.Flash != want {
			t.Errorf("%#x: %v", v, m.Flash)
		}
	}
}

// Exif 0xA001 and DCF's R98, R03, THM of the interoperability IFD.
func TestColorSpace(t *testing.T) {
	for _, c := range []struct {
		space uint16
		index string
		want  string
	}{
		{1, "R98", "sRGB"}, {1, "", "sRGB"}, {0xFFFF, "R03", "Adobe RGB"}, {0xFFFF, "R98", "uncalibrated"},
		{0xFFFF, "THM", "uncalibrated"}, {0xFFFF, "", "uncalibrated"}, {2, "", "Adobe RGB"}, {77, "R03", ""}, {1, "R03", "sRGB"},
	} {
		m := meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field {
			f := []craft.Field{b.Short(0xA001, c.space)}
			if c.index != "" {
				f = append(f, b.Long(0xA005, b.IFD(0, b.Text(1, c.index))))
			}
			return f
		})
		if m.ColorSpace != c.want {
			t.Errorf("%d %q: %q, want %q", c.space, c.index, m.ColorSpace, c.want)
		}
	}
}

func TestLensFromItsNumbers(t *testing.T) {
	for _, c := range []struct {
		in   []uint32
		want string
	}{
		{[]uint32{24, 1, 70, 1, 28, 10, 28, 10}, "24-70mm f/2.8"},
		{[]uint32{18, 1, 70, 1, 35, 10, 45, 10}, "18-70mm f/3.5-4.5"},
		{[]uint32{50, 1, 50, 1, 12, 10, 12, 10}, "50mm f/1.2"},
		{[]uint32{85, 1, 85, 1, 0, 0, 0, 0}, "85mm"},
		{[]uint32{0, 0, 0, 0, 0, 0, 0, 0}, ""},
		{[]uint32{24, 1, 70, 1}, ""},
	} {
		m := meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Rational(0xA432, c.in...)} })
		if m.Lens != c.want {
			t.Errorf("%v: %q, want %q", c.in, m.Lens, c.want)
		}
	}
}

func TestDigitizedStandsInAndTIFFEPInIFD0(t *testing.T) {
	m := meta(t, binary.LittleEndian, nil, func(b *craft.TIFF) []craft.Field {
		return []craft.Field{
			b.Text(0x9003, "    :  :     :  :  "), b.Text(0x9291, "11"),
			b.Text(0x9004, "2020:01:02 03:04:05"), b.Text(0x9292, "22"), b.Text(0x9012, "+01:00"),
		}
	})
	if m.Taken != exif.ParseTime("2020:01:02 03:04:05", "22", "+01:00") {
		t.Errorf("digitized: %+v", m.Taken)
	}
	m = meta(t, binary.LittleEndian, func(b *craft.TIFF) []craft.Field {
		return []craft.Field{b.Text(0x9003, "2000:11:19 13:01:50"), b.Short(0x8827, 200), b.Text(0x0132, "2009:09:09 09:09:09")}
	}, func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Short(0x8827, 400)} })
	if m.ISO != 400 || m.Taken.Wall.Year() != 2000 {
		t.Errorf("ISO %d, %v: the Exif IFD is asked first, then IFD0, never DateTime", m.ISO, m.Taken.Wall)
	}
}

func TestFirstSourceWins(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	data := b.Bytes(b.IFD(0, b.Text(0x010F, "Second"), b.Text(0x0110, "Model"), b.Short(0x0112, 3)))
	m := exif.NewMeta()
	m.Make, m.Orientation = "First", 8
	m, err := read(t, data, exif.RootIFD0, m)
	if err != nil || m.Make != "First" || m.Orientation != 8 || m.Model != "Model" {
		t.Errorf("%+v, %v", m, err)
	}
}

// The parts of an ISO-BMFF raw file: an Exif IFD that comes first, a GPS IFD.
func TestRoots(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	data := b.Bytes(b.IFD(0, b.Short(0x8827, 800), b.Short(0x0112, 6), b.Text(0x010F, "no")))
	m, err := read(t, data, exif.RootExif, exif.NewMeta())
	if err != nil || m.ISO != 800 || m.Orientation != 0 || m.Make != "" {
		t.Errorf("as an Exif IFD: %+v, %v", m, err)
	}
	m, err = read(t, data, exif.RootGPS, exif.NewMeta())
	if err != nil || m != exif.NewMeta() {
		t.Errorf("as a GPS IFD: %+v, %v", m, err)
	}
}

func TestReadSaysWhatIsBroken(t *testing.T) {
	order := binary.ByteOrder(binary.LittleEndian)
	build := func(f func(b *craft.TIFF) uint32) []byte {
		b := craft.NewTIFF(order)
		return b.Bytes(f(b))
	}
	for _, c := range []struct {
		name string
		data []byte
		want error
	}{
		{"no TIFF", []byte("Not a TIFF at all"), tiff.ErrHeader},
		{"cut header", []byte("II*\x00"), bin.ErrEnd},
		{"first directory outside", build(func(b *craft.TIFF) uint32 { return 9999 }), bin.ErrEnd},
		{"Exif IFD outside", build(func(b *craft.TIFF) uint32 { return b.IFD(0, b.Long(0x8769, 0xFFFFFFFF)) }), bin.ErrEnd},
		{"chain leads back", build(func(b *craft.TIFF) uint32 { return b.IFD(b.Len(), b.Short(0x0112, 1)) }), tiff.ErrLoop},
		{"SubIFD is the parent", build(func(b *craft.TIFF) uint32 { return b.IFD(0, b.Long(0x014A, b.Len())) }), tiff.ErrLoop},
		{"count overflow", build(func(b *craft.TIFF) uint32 {
			return b.IFD(0, craft.Field{Tag: 0x0111, Type: 12, Count: math.MaxUint32, Data: []byte{8, 0, 0, 0}})
		}), tiff.ErrCount},
	} {
		if _, err := read(t, c.data, exif.RootIFD0, exif.NewMeta()); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}
