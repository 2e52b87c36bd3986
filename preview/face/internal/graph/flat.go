package graph

import "encoding/binary"

// flat reads a flatbuffer (flatbuffers.dev, "internals"): little-endian, tables
// reached by offsets that only go forward. The first fault sticks; from then on
// every value is zero and every table absent, so that a structure is read straight
// through and the error checked at its end.
type flat struct {
	b   []byte
	err error
}

func (f *flat) fail(format string, args ...any) {
	if f.err == nil {
		f.err = badFormat(format, args...)
	}
}

// bytes returns n bytes at a place; nil if they are not there.
func (f *flat) bytes(at, n int) []byte {
	if f.err != nil {
		return nil
	}
	if at < 0 || n < 0 || at > len(f.b) || n > len(f.b)-at {
		f.fail("%d bytes at %d of %d", n, at, len(f.b))
		return nil
	}
	return f.b[at : at+n : at+n]
}

func (f *flat) u16(at int) int {
	if b := f.bytes(at, 2); b != nil {
		return int(binary.LittleEndian.Uint16(b))
	}
	return 0
}

func (f *flat) i32(at int) int {
	if b := f.bytes(at, 4); b != nil {
		return int(int32(binary.LittleEndian.Uint32(b)))
	}
	return 0
}

// follow returns where the offset at a place leads. Offsets are unsigned there; one
// over 2 GB is no file of ours.
func (f *flat) follow(at int) int {
	n := f.i32(at)
	if n <= 0 && f.err == nil {
		f.fail("offset %d at %d", n, at)
	}
	return at + n
}

// table is a table of a flatbuffer; f is nil where there is none, and every field
// of it absent.
type table struct {
	f      *flat
	at     int
	fields []byte // of its vtable: where each field is in the table, 0 for absent
}

func (f *flat) table(at int) table {
	v := at - f.i32(at)
	size := f.u16(v)
	if size < 4 || size%2 != 0 {
		f.fail("a vtable of %d bytes at %d", size, v)
	}
	fields := f.bytes(v+4, size-4)
	if f.err != nil {
		return table{}
	}
	return table{f, at, fields}
}

// field returns where a field of the table stands; 0 if it is absent.
func (t table) field(i int) int {
	if 2*i+2 > len(t.fields) {
		return 0
	}
	if o := binary.LittleEndian.Uint16(t.fields[2*i:]); o != 0 {
		return t.at + int(o)
	}
	return 0
}

func (t table) u8(i int) int {
	at := t.field(i)
	if at == 0 {
		return 0
	}
	if b := t.f.bytes(at, 1); b != nil {
		return int(b[0])
	}
	return 0
}

// i32 returns a field, or what the schema has for an absent one.
func (t table) i32(i, absent int) int {
	if at := t.field(i); at != 0 {
		return t.f.i32(at)
	}
	return absent
}

func (t table) table(i int) table {
	if at := t.field(i); at != 0 {
		return t.f.table(t.f.follow(at))
	}
	return table{}
}

// vector returns the bytes of a vector of elements of a size, and where it starts.
func (t table) vector(i, size int) (b []byte, at int) {
	p := t.field(i)
	if p == 0 {
		return nil, 0
	}
	at = t.f.follow(p)
	n := t.f.i32(at)
	if n < 0 || n > len(t.f.b)/size {
		t.f.fail("a vector of %d elements at %d", n, at)
		return nil, 0
	}
	return t.f.bytes(at+4, n*size), at + 4
}

// ints returns a vector of at most limit numbers.
func (t table) ints(i, limit int) []int {
	b, at := t.vector(i, 4)
	if len(b)/4 > limit {
		t.f.fail("%d numbers at %d, more than %d", len(b)/4, at, limit)
		return nil
	}
	return int32s(b)
}

// int32s reads numbers that stand one after the other.
func int32s(b []byte) []int {
	list := make([]int, len(b)/4)
	for k := range list {
		list[k] = int(int32(binary.LittleEndian.Uint32(b[4*k:])))
	}
	return list
}

// tables returns a vector of at most limit tables.
func (t table) tables(i, limit int) []table {
	b, at := t.vector(i, 4)
	if len(b)/4 > limit {
		t.f.fail("%d tables at %d, more than %d", len(b)/4, at, limit)
		return nil
	}
	list := make([]table, len(b)/4)
	for k := range list {
		list[k] = t.f.table(t.f.follow(at + 4*k))
		if t.f.err != nil {
			return nil
		}
	}
	return list
}

// text returns a string of at most limit bytes.
func (t table) text(i, limit int) string {
	b, at := t.vector(i, 1)
	if len(b) > limit {
		t.f.fail("a name of %d bytes at %d", len(b), at)
		return ""
	}
	return string(b)
}
