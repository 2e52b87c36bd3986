package bmff_test

import (
	"bytes"
	"errors"
	"fmt"
	"testing"

	"garner/preview/bmff"
	"garner/preview/internal/bin"
	"garner/preview/internal/craft"
)

// infe is an item entry of version 2 (ISO/IEC 14496-12 §8.11.6).
func infe(id uint16, typ string, rest string) []byte {
	return craft.FullBox("infe", 2, 0, craft.U16(id, 0), []byte(typ), []byte("name\x00"+rest))
}

func iinf(entries ...[]byte) []byte {
	return craft.FullBox("iinf", 0, 0, craft.U16(uint16(len(entries))), craft.Join(entries...))
}

// metaBox wraps tables; its content begins at byte 12 of the file.
func metaBox(parts ...[]byte) []byte { return craft.FullBox("meta", 0, 0, parts...) }

func items(t *testing.T, data []byte) (*bmff.Items, error) {
	t.Helper()
	r := reader(data)
	top, err := r.Top()
	if err != nil {
		t.Fatal(err)
	}
	meta, ok := bmff.First(top, "meta")
	if !ok {
		t.Fatal("no meta box")
	}
	m, err := r.Items(meta)
	if m == nil {
		t.Fatal("no items at all")
	}
	return m, err
}

func TestItems(t *testing.T) {
	ispe := craft.FullBox("ispe", 0, 0, craft.U32(640, 480))
	irot := craft.Box("irot", []byte{3})
	old := craft.FullBox("infe", 0, 0, craft.U16(9, 0), []byte("old\x00image/jpeg\x00"))
	wide := craft.FullBox("infe", 3, 0, craft.U32(70000), craft.U16(0), []byte("jpeg"), []byte("\x00"))
	m, err := items(t, metaBox(
		craft.FullBox("iref", 0, 0, craft.Box("thmb", craft.U16(2, 1, 1)), craft.Box("cdsc", craft.U16(3, 2, 1, 2))),
		craft.Box("iprp", craft.Box("ipco", ispe, irot),
			craft.FullBox("ipma", 0, 0, craft.U32(1), craft.U16(1), []byte{2, 0x81, 2}),
			craft.FullBox("ipma", 1, 1, craft.U32(1), craft.U32(70000), []byte{3, 0x80, 2, 0, 9, 0, 0})),
		craft.FullBox("pitm", 0, 0, craft.U16(1)),
		iinf(infe(1, "hvc1", ""), infe(2, "jpeg", ""), infe(3, "Exif", ""), infe(4, "mime", "application/rdf+xml\x00"), old, wide),
	))
	if err != nil {
		t.Fatal(err)
	}
	if m.Primary != 1 || len(m.List) != 6 {
		t.Fatalf("%+v", m)
	}
	if got := m.Find(4); got == nil || got.Mime != "application/rdf+xml" || got.Type != "mime" {
		t.Errorf("%+v", got)
	}
	if got := m.Find(9); got == nil || got.Mime != "image/jpeg" || got.Type != "" {
		t.Errorf("%+v", got)
	}
	if got := m.Find(1).Props; len(got) != 2 || got[0].Type != "ispe" || got[1].Type != "irot" {
		t.Errorf("%+v", got)
	}
	// Property 9 does not exist, and 0 is none (ISO/IEC 23008-12 §9.3.1).
	if got := m.Find(70000).Props; len(got) != 1 || got[0].Type != "irot" {
		t.Errorf("%+v", got)
	}
	if !m.Refers("thmb", 2, 1) || !m.Refers("cdsc", 3, 2) || m.Refers("cdsc", 3, 3) || m.Refers("thmb", 1, 2) {
		t.Errorf("%+v", m.Refs)
	}
	if m.Find(5) != nil {
		t.Error("an item that is not there")
	}
}

// Places: ISO/IEC 14496-12 §8.11.3.
func TestItemPlaces(t *testing.T) {
	const idatBody = 12 + 8
	idat := craft.Box("idat", make([]byte, 50))
	entry1 := func(method, ref uint16, base uint32, extents ...uint32) []byte { // version 1, four bytes each
		return craft.Join(craft.U16(1, method, ref), craft.U32(base), craft.U16(uint16(len(extents)/2)), craft.U32(extents...))
	}
	iloc1 := func(e []byte) []byte {
		return craft.FullBox("iloc", 1, 0, craft.U16(0x4440, 1), e)
	}
	for _, c := range []struct {
		name        string
		iloc        []byte
		off, length int64
		err         error
	}{
		{"version 0", craft.FullBox("iloc", 0, 0, craft.U16(0x4400, 1, 1, 0, 1), craft.U32(300, 40)), 300, 40, nil},
		{"version 0 with base", craft.FullBox("iloc", 0, 0, craft.U16(0x4440, 1, 1, 0), craft.U32(200), craft.U16(1), craft.U32(100, 40)), 300, 40, nil},
		{"version 1", iloc1(entry1(0, 0, 0, 300, 40)), 300, 40, nil},
		{"in idat", iloc1(entry1(1, 0, 0, 10, 40)), idatBody + 10, 40, nil},
		{"past idat", iloc1(entry1(1, 0, 0, 11, 40)), 0, 0, nil},
		{"of another item", iloc1(entry1(2, 0, 0, 10, 40)), 0, 0, nil},
		{"in another file", iloc1(entry1(0, 1, 0, 300, 40)), 0, 0, nil},
		{"in touching pieces", iloc1(entry1(0, 0, 0, 300, 40, 340, 2)), 300, 42, nil},
		{"in pieces", iloc1(entry1(0, 0, 0, 300, 40, 341, 2)), 0, 0, nil},
		{"to the end", iloc1(entry1(0, 0, 0, 100, 0)), 100, 900, nil},
		{"past the end", iloc1(entry1(0, 0, 0, 5000, 40)), 5000, 40, nil},
		{"to the end from behind it", iloc1(entry1(0, 0, 0, 5000, 0)), 5000, 0, nil},
		{"version 2, 64 bits, index", craft.FullBox("iloc", 2, 0, craft.U16(0x8888), craft.U32(1, 1), craft.U16(0, 0), craft.U64(1), craft.U16(1), craft.U64(7, 299, 40)), 300, 40, nil},
		{"2^64 bytes", craft.FullBox("iloc", 2, 0, craft.U16(0x8880), craft.U32(1, 1), craft.U16(0, 0), craft.U64(1<<63), craft.U16(1), craft.U64(1<<63, 1<<63)), 0, 0, nil},
		{"no extents", iloc1(entry1(0, 0, 0)), 0, 0, nil},
		{"numbers of 3 bytes", craft.FullBox("iloc", 0, 0, craft.U16(0x3400, 1, 1, 0, 1), craft.U32(300, 40)), 0, 0, bmff.ErrTable},
		{"more than there are", craft.FullBox("iloc", 0, 0, craft.U16(0x4400, 0xFFFF, 1, 0, 1), craft.U32(300, 40)), 300, 40, bmff.ErrTable},
		{"more extents than there are", iloc1(craft.Join(craft.U16(1, 0, 0), craft.U32(0), craft.U16(0xFFFF), craft.U32(300, 40))), 0, 0, bmff.ErrTable},
		{"no numbers at all", craft.FullBox("iloc", 2, 0, craft.U16(0), craft.U32(0xFFFFFFFF)), 0, 0, bmff.ErrTable},
	} {
		t.Run(c.name, func(t *testing.T) {
			data := metaBox(idat, iinf(infe(1, "jpeg", "")), c.iloc)
			data = append(data, craft.Box("mdat", make([]byte, 1000-len(data)-8))...)
			m, err := items(t, data)
			if !errors.Is(err, c.err) || (err == nil) != (c.err == nil) {
				t.Errorf("error %v, want %v", err, c.err)
			}
			if it := m.Find(1); it.Offset != c.off || it.Length != c.length {
				t.Errorf("%d bytes at %d, want %d at %d", it.Length, it.Offset, c.length, c.off)
			}
		})
	}
}

// A picture of very many tiles: what is in the first part is found, and the
// reads are not used up on the rest.
func TestTablesAreCut(t *testing.T) {
	var list [][]byte
	for i := range 3000 {
		list = append(list, infe(uint16(i+1), "hvc1", ""))
	}
	data := metaBox(craft.FullBox("pitm", 0, 0, craft.U16(1)), iinf(list...))
	c := &craft.Counter{R: bytes.NewReader(data)}
	r := bmff.NewReader(bin.NewSource(c, int64(len(data)), 16, 128<<10))
	top, err := r.Top()
	if err != nil {
		t.Fatal(err)
	}
	m, err := r.Items(top[0])
	if !errors.Is(err, bmff.ErrTooMany) || len(m.List) < 500 || len(m.List) > 1500 || m.Primary != 1 {
		t.Errorf("%d items, %v", len(m.List), err)
	}
	if c.Reads > 3 {
		t.Errorf("%d reads", c.Reads)
	}
}

func TestPropertiesOfOneItemAreBounded(t *testing.T) {
	many := bytes.Repeat([]byte{1}, 255)
	ipma := craft.FullBox("ipma", 0, 0, craft.U32(1), craft.U16(1), []byte{255}, many)
	m, err := items(t, metaBox(iinf(infe(1, "hvc1", "")), craft.Box("iprp", craft.Box("ipco", craft.Box("irot", []byte{1})), ipma, ipma)))
	if err != nil || len(m.Find(1).Props) > 16 {
		t.Errorf("%d properties, %v", len(m.Find(1).Props), err)
	}
}

// A fault in one table leaves what the others say.
func TestDamagedTables(t *testing.T) {
	for _, c := range []struct {
		name  string
		parts [][]byte
		items int
	}{
		{"empty iinf", [][]byte{craft.Box("iinf")}, 0},
		{"infe cut off", [][]byte{iinf(infe(1, "Exif", ""), craft.Box("infe", make([]byte, 3)))}, 1},
		{"infe without a type", [][]byte{iinf(craft.FullBox("infe", 2, 0, craft.U16(1, 0)), infe(2, "Exif", ""))}, 1},
		{"pitm too short", [][]byte{iinf(infe(1, "Exif", "")), craft.FullBox("pitm", 1, 0, craft.U16(1))}, 1},
		{"iref cut off", [][]byte{iinf(infe(1, "Exif", "")), craft.FullBox("iref", 0, 0, craft.U32(3))}, 0 + 1},
		{"ipma counts too far", [][]byte{iinf(infe(1, "Exif", "")), craft.Box("iprp", craft.FullBox("ipma", 0, 0, craft.U32(0xFFFFFFFF)))}, 1},
	} {
		m, err := items(t, metaBox(c.parts...))
		if len(m.List) != c.items {
			t.Errorf("%s: %d items", c.name, len(m.List))
		}
		if c.name != "iref cut off" && err == nil {
			t.Errorf("%s: no error", c.name)
		}
	}
	// A count of references that is not there ends with the bytes.
	m, err := items(t, metaBox(craft.FullBox("iref", 1, 0, craft.Box("cdsc", craft.U32(1), craft.U16(0xFFFF), craft.U32(2)))))
	if err != nil || fmt.Sprint(m.Refs) != "[{cdsc 1 [2]}]" {
		t.Errorf("%v, %v", m.Refs, err)
	}
}
