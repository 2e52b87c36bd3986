package tiff_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"testing"

	"garner/preview/internal/bin"
	"garner/preview/internal/craft"
	"garner/preview/tiff"
)

func open(t testing.TB, b []byte) (*tiff.Reader, int64) {
	t.Helper()
	src := bin.NewSource(bytes.NewReader(b), int64(len(b)), 64, 1<<20)
	h, err := tiff.ReadHeader(src, 0)
	if err != nil {
		t.Fatal(err)
	}
	return tiff.NewReader(src, 0, int64(len(b)), h.Order), h.First
}

func orders() []binary.ByteOrder { return []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} }

// TIFF 6.0 §2: the eight bytes of the header.
func TestHeader(t *testing.T) {
	for _, c := range []struct {
		in      string
		order   binary.ByteOrder
		version uint16
		first   int64
		ok      bool
	}{
		{"II*\x00\x08\x00\x00\x00", binary.LittleEndian, 42, 8, true},
		{"MM\x00*\x00\x00\x00\x08", binary.BigEndian, 42, 8, true},
		{"IIU\x00\x18\x00\x00\x00", binary.LittleEndian, 0x55, 24, true},
		{"IIRO\x08\x00\x00\x00", binary.LittleEndian, 0x4F52, 8, true},
		{"MM\x00*\xFF\xFF\xFF\xFF", binary.BigEndian, 42, math.MaxUint32, true},
		{"IM*\x00\x08\x00\x00\x00", nil, 0, 0, false},
		{"II*\x00\x08\x00\x00", nil, 0, 0, false},
		{"", nil, 0, 0, false},
	} {
		h, err := tiff.ParseHeader([]byte(c.in))
		if (err == nil) != c.ok || h.Order != c.order || h.Version != c.version || h.First != c.first {
			t.Errorf("%q: %+v, %v", c.in, h, err)
		}
	}
}

func TestEveryTypeInBothOrders(t *testing.T) {
	for _, order := range orders() {
		b := craft.NewTIFF(order)
		u32 := func(v uint32) []byte { return b.Long(0, v).Data }
		off := b.IFD(0,
			b.Short(1, 40000),
			b.Short(2, 1, 2, 3),
			b.Long(3, 4_000_000_000),
			b.Rational(4, 1, 125),
			b.SRational(5, -2, 3),
			craft.Field{Tag: 6, Type: 6, Count: 1, Data: []byte{0xFE}},
			craft.Field{Tag: 7, Type: 8, Count: 1, Data: b.Short(0, 0xFFFD).Data},
			craft.Field{Tag: 8, Type: 9, Count: 1, Data: u32(0xFFFFFFFC)},
			craft.Field{Tag: 9, Type: 11, Count: 1, Data: u32(math.Float32bits(2.5))},
			craft.Field{Tag: 10, Type: 12, Count: 1, Data: double(order, -1.25)},
			craft.Field{Tag: 11, Type: 13, Count: 1, Data: u32(99)},
			craft.Field{Tag: 12, Type: 1, Count: 2, Data: []byte{7, 8}},
			b.Rational(13, 1, 0),
			b.Rational(14, 24, 1, 70, 1, 28, 10, 4, 1),
		)
		r, first := open(t, b.Bytes(off))
		d, err := r.IFD(first)
		if err != nil {
			t.Fatal(err)
		}
		for tag, want := range map[uint16]float64{
			1: 40000, 2: 1, 3: 4e9, 4: 0.008, 5: -2.0 / 3, 6: -2, 7: -3, 8: -4, 9: 2.5, 10: -1.25, 11: 99, 12: 7, 14: 24,
		} {
			if v, ok := d.Find(tag).Float(0); !ok || math.Abs(v-want) > 1e-12 {
				t.Errorf("%v: tag %d is %v (%v), want %v", order, tag, v, ok, want)
			}
		}
		if v, ok := d.Find(13).Float(0); ok {
			t.Errorf("1/0 was taken as %v", v)
		}
		if v, ok := d.Find(14).Float(2); !ok || v != 2.8 {
			t.Errorf("third of four fractions: %v, %v", v, ok)
		}
		if _, ok := d.Find(14).Float(4); ok {
			t.Error("a fifth of four fractions")
		}
		if v := d.Find(2).Ints(9); fmt.Sprint(v) != "[1 2 3]" {
			t.Errorf("three shorts: %v", v)
		}
		if v := d.Find(4).Ints(1); v != nil {
			t.Errorf("a fraction as whole number: %v", v)
		}
	}
}

func double(order binary.ByteOrder, v float64) []byte {
	b := make([]byte, 8)
	order.PutUint64(b, math.Float64bits(v))
	return b
}

func TestText(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	long := string(bytes.Repeat([]byte("x"), 5000))
	off := b.IFD(0,
		b.Text(1, "Canon"),
		b.Text(2, "abc"), // three and the NUL: in place
		b.Text(3, "  padded  "),
		b.Text(4, long),
		craft.Field{Tag: 5, Type: 2, Count: 5, Data: []byte("noNUL")},
		craft.Field{Tag: 6, Type: 129, Count: 7, Data: []byte("Zo\u00eb\u2014\x00")}, // Exif 3.0 UTF-8
		craft.Field{Tag: 7, Type: 2, Count: 6, Data: []byte("ab\xff\xfecd")},
		craft.Field{Tag: 8, Type: 7, Count: 6, Data: []byte("X1\x00\x00\x00\x00")},
		b.Long(9, 1),
		craft.Field{Tag: 10, Type: 2, Count: 4, Data: []byte{0, 0, 0, 0}},
	)
	r, first := open(t, b.Bytes(off))
	d, err := r.IFD(first)
	if err != nil {
		t.Fatal(err)
	}
	for tag, want := range map[uint16]string{
		1: "Canon", 2: "abc", 3: "padded", 4: long[:tiff.MaxText], 5: "noNUL", 6: "Zo\u00eb\u2014",
		7: "ab\uFFFDcd", 8: "X1", 9: "", 10: "", 11: "",
	} {
		if got := d.Find(tag).Text(); got != want {
			t.Errorf("tag %d: %q, want %q", tag, got, want)
		}
	}
}

func TestChain(t *testing.T) {
	b := craft.NewTIFF(binary.BigEndian)
	third := b.IFD(0, b.Short(1, 3))
	second := b.IFD(third, b.Short(1, 2))
	r, off := open(t, b.Bytes(b.IFD(second, b.Short(1, 1))))
	for want := int64(1); want <= 3; want++ {
		d, err := r.IFD(off)
		if err != nil {
			t.Fatal(err)
		}
		if v, ok := d.Find(1).Int(); !ok || v != want {
			t.Errorf("directory %d holds %d", want, v)
		}
		off = d.Next
	}
	if off != 0 {
		t.Errorf("the chain goes on at %d", off)
	}
}

func TestDirectoriesThatCannotBe(t *testing.T) {
	order := binary.ByteOrder(binary.LittleEndian)
	loop := craft.NewTIFF(order)
	at := loop.IFD(0, loop.Short(1, 1))
	loop.Patch32(craft.NextAt(at, 1), at)

	empty := craft.NewTIFF(order)
	none := empty.IFD(0)

	crowd := craft.NewTIFF(order)
	fields := make([]craft.Field, 2000)
	for i := range fields {
		fields[i] = crowd.Short(uint16(i), 1)
	}
	big := crowd.IFD(0, fields...)

	for _, c := range []struct {
		name string
		data []byte
		off  int64
		want error
	}{
		{"no entries", empty.Bytes(none), int64(none), tiff.ErrCount},
		{"2000 entries", crowd.Bytes(big), int64(big), tiff.ErrCount},
		{"past the end", loop.Bytes(at), 1 << 20, bin.ErrEnd},
		{"all ones", loop.Bytes(at), math.MaxUint32, bin.ErrEnd},
		{"negative", loop.Bytes(at), -8, bin.ErrEnd},
		{"on the last byte", loop.Bytes(at), int64(loop.Len()) - 1, bin.ErrEnd},
	} {
		r, _ := open(t, c.data)
		if d, err := r.IFD(c.off); !errors.Is(err, c.want) || d != nil {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}

	r, off := open(t, loop.Bytes(at))
	d, err := r.IFD(off)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.IFD(d.Next); !errors.Is(err, tiff.ErrLoop) {
		t.Errorf("a directory that follows itself: %v", err)
	}
	// A reader derived from it remembers, and knows places by where they lie in the file.
	if _, err := r.Within(4, 1000, order).IFD(off - 4); !errors.Is(err, tiff.ErrLoop) {
		t.Errorf("the same directory from another base: %v", err)
	}
}

func TestTooManyDirectories(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	next := uint32(0)
	for range 1000 {
		next = b.IFD(next, b.Short(1, 1))
	}
	r, off := open(t, b.Bytes(next))
	n := 0
	for off != 0 {
		d, err := r.IFD(off)
		if err != nil {
			if !errors.Is(err, tiff.ErrTooMuch) {
				t.Fatal(err)
			}
			break
		}
		n, off = n+1, d.Next
	}
	if n < 16 || n > 100 {
		t.Errorf("%d of 1000 directories were read", n)
	}
}

func TestCutDirectoryGivesItsFirstPart(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	off := b.IFD(0, b.Short(1, 11), b.Short(2, 22), b.Short(3, 33))
	r, first := open(t, b.Bytes(off)[:off+2+12+12+5])
	d, err := r.IFD(first)
	if err != nil {
		t.Fatal(err)
	}
	if !d.Cut || len(d.Entries) != 2 || d.Next != 0 {
		t.Errorf("cut %v, %d entries, next %d", d.Cut, len(d.Entries), d.Next)
	}
	if v, ok := d.Find(2).Int(); !ok || v != 22 {
		t.Errorf("second of the two entries that are there: %d", v)
	}
}

func TestValuesThatCannotBe(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	far := b.Long(0, 0xFFFFFFF0).Data
	off := b.IFD(0,
		craft.Field{Tag: 1, Type: 12, Count: math.MaxUint32, Data: far[:4]},
		craft.Field{Tag: 2, Type: 2, Count: 20, Data: far[:4]},
		craft.Field{Tag: 3, Type: 4, Count: 0, Data: far[:4]},
		craft.Field{Tag: 4, Type: 77, Count: 4, Data: far[:4]},
		craft.Field{Tag: 5, Type: 4, Count: 1 << 30, Data: b.Long(0, 8).Data},
	)
	r, first := open(t, b.Bytes(off))
	d, err := r.IFD(first)
	if err != nil {
		t.Fatal(err)
	}
	for i := range d.Entries {
		e := &d.Entries[i]
		if v, ok := e.Float(0); ok {
			t.Errorf("tag %d is %v", e.Tag, v)
		}
		if v, ok := e.Int(); ok {
			t.Errorf("tag %d is %d", e.Tag, v)
		}
		if s := e.Text(); s != "" {
			t.Errorf("tag %d is %q", e.Tag, s)
		}
	}
	if got, want := d.Find(1).Size, int64(math.MaxUint32)*8; got != want {
		t.Errorf("size of four billion doubles: %d, want %d", got, want)
	}
	if _, err := d.Find(2).Bytes(4); !errors.Is(err, bin.ErrEnd) {
		t.Errorf("value past the end: %v", err)
	}
	var missing *tiff.Entry
	if _, ok := missing.Int(); ok || missing.Text() != "" {
		t.Error("a missing entry has a value")
	}
}

func TestStructureInsideAFile(t *testing.T) {
	b := craft.NewTIFF(binary.BigEndian)
	off := b.IFD(0, b.Text(1, "inside the structure"))
	inner := b.Bytes(off)
	file := append(append(make([]byte, 1000), inner...), make([]byte, 1000)...)
	src := bin.NewSource(bytes.NewReader(file), int64(len(file)), 16, 1<<20)
	h, err := tiff.ReadHeader(src, 1000)
	if err != nil {
		t.Fatal(err)
	}
	d, err := tiff.NewReader(src, 1000, int64(len(inner)), h.Order).IFD(h.First)
	if err != nil || d.Find(1).Text() != "inside the structure" {
		t.Errorf("%+v, %v", d, err)
	}
	// The file goes on behind the structure, but the value may not.
	short := tiff.NewReader(src, 1000, int64(off)+2+12+4, h.Order)
	if d, err = short.IFD(h.First); err != nil {
		t.Fatal(err)
	}
	if !d.Find(1).Inside() {
		t.Error("the value lies before the directory, inside")
	}
	tiny := tiff.NewReader(src, 1000, 20, h.Order)
	if _, err := tiny.IFD(h.First); !errors.Is(err, bin.ErrEnd) {
		t.Errorf("directory behind the structure's end: %v", err)
	}
}

// FuzzTIFF walks whatever it is given: finite, within the limits, values never
// longer than asked for, the same answer twice.
func FuzzTIFF(f *testing.F) {
	for _, order := range orders() {
		b := craft.NewTIFF(order)
		sub := b.IFD(0, b.Text(0x010F, "Maker"), b.Rational(0x829A, 1, 60))
		off := b.IFD(sub, b.Short(0x0112, 6), b.Long(0x014A, sub, sub+2), b.Undefined(0x927C, make([]byte, 50)))
		f.Add(b.Bytes(off))
	}
	f.Add([]byte("II*\x00\x08\x00\x00\x00\x01\x00\x01\x00\x0c\x00\xff\xff\xff\xff\xff\xff\xff\xff\x08\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		a, reads := walk(t, data)
		b, _ := walk(t, data)
		if a != b {
			t.Fatalf("first\n%s\nthen\n%s", a, b)
		}
		if reads > 16 {
			t.Fatalf("%d reads", reads)
		}
	})
}

// walk prints all directories that are reached by chain or by SubIFDs.
func walk(t *testing.T, data []byte) (string, int) {
	c := &craft.Counter{R: bytes.NewReader(data)}
	src := bin.NewSource(c, int64(len(data)), 16, 128<<10)
	h, err := tiff.ReadHeader(src, 0)
	if err != nil {
		return err.Error(), c.Reads
	}
	var out bytes.Buffer
	r := tiff.NewReader(src, 0, int64(len(data)), h.Order)
	todo := []int64{h.First}
	for n := 0; len(todo) > 0; n++ {
		if n > 20_000 {
			t.Fatal("the walk does not end")
		}
		d, err := r.IFD(todo[0])
		todo = todo[1:]
		if err != nil {
			fmt.Fprintln(&out, err)
			continue
		}
		for i := range d.Entries {
			e := &d.Entries[i]
			b, err := e.Bytes(10)
			if len(b) > 10 || err == nil && int64(len(b)) != min(10, e.Size) {
				t.Fatalf("%d bytes of 10 asked from a value of %d", len(b), e.Size)
			}
			x, ok := e.Float(0)
			if ok && (math.IsNaN(x) || math.IsInf(x, 0)) {
				t.Fatalf("value %v", x)
			}
			fmt.Fprintln(&out, e.Tag, e.Type, e.Size, e.Offset, b, x, ok, e.Text(), e.Ints(3))
			if e.Tag == 0x014A {
				todo = append(todo, e.Ints(16)...)
			}
		}
		if d.Next != 0 {
			todo = append(todo, d.Next)
		}
	}
	return out.String(), c.Reads
}
