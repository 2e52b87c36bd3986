package bmff_test

import (
	"bytes"
	"errors"
	"testing"

	"garner/preview/bmff"
	"garner/preview/internal/bin"
	"garner/preview/internal/craft"
)

// trak wraps tables in the boxes around a sample table.
func trak(tables ...[]byte) []byte {
	return craft.Box("trak", craft.Box("tkhd"), craft.Box("mdia", craft.Box("minf", craft.Box("stbl", tables...))))
}

func stsd(entry string) []byte {
	return craft.FullBox("stsd", 0, 0, craft.U32(1), craft.Box(entry, make([]byte, 78), craft.Box("JPEG")))
}

// Sample tables: ISO/IEC 14496-12 §8.7.3 and §8.7.5.
func TestTrack(t *testing.T) {
	oneSize := craft.FullBox("stsz", 0, 0, craft.U32(500, 1))
	list := craft.FullBox("stsz", 0, 0, craft.U32(0, 3, 40, 50, 60))
	co64 := craft.FullBox("co64", 0, 0, craft.U32(1), craft.U64(1<<33))
	stco := craft.FullBox("stco", 0, 0, craft.U32(2, 700, 900))
	for _, c := range []struct {
		name        string
		data        []byte
		off, length int64
		samples     uint32
		err         error
	}{
		{"one size, 64 bits", trak(stsd("CRAW"), oneSize, co64), 1 << 33, 500, 1, nil},
		{"list, 32 bits", trak(stsd("CRAW"), list, stco), 700, 40, 3, nil},
		{"no samples", trak(stsd("CRAW"), craft.FullBox("stsz", 0, 0, craft.U32(0, 0)), stco), 0, 0, 0, nil},
		{"no sizes", trak(stsd("CRAW"), stco), 0, 0, 0, bmff.ErrTable},
		{"no chunks", trak(stsd("CRAW"), list), 0, 0, 3, bmff.ErrTable},
		{"empty list of chunks", trak(stsd("CRAW"), list, craft.FullBox("stco", 0, 0, craft.U32(0))), 0, 0, 3, bmff.ErrTable},
		{"list of sizes is not there", trak(stsd("CRAW"), craft.FullBox("stsz", 0, 0, craft.U32(0, 9)), stco), 0, 0, 9, bmff.ErrTable},
		{"list of chunks is not there", trak(stsd("CRAW"), list, craft.FullBox("co64", 0, 0, craft.U32(1), craft.U32(1))), 0, 0, 3, bmff.ErrTable},
		{"chunk at 2^63", trak(stsd("CRAW"), list, craft.FullBox("co64", 0, 0, craft.U32(1), craft.U64(1<<63))), 0, 0, 3, bin.ErrEnd},
		{"no description", trak(list, stco), 0, 0, 0, bmff.ErrTable},
		{"empty description", trak(craft.FullBox("stsd", 0, 0, craft.U32(1)), list, stco), 0, 0, 0, bmff.ErrTable},
		{"no sample table", craft.Box("trak", craft.Box("tkhd")), 0, 0, 0, bmff.ErrTable},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := reader(c.data)
			top, err := r.Top()
			if err != nil {
				t.Fatal(err)
			}
			tr, err := r.Track(top[0])
			if !errors.Is(err, c.err) || (err == nil) != (c.err == nil) {
				t.Errorf("error %v, want %v", err, c.err)
			}
			if tr.Offset != c.off || tr.Length != c.length || tr.Samples != c.samples {
				t.Errorf("%+v", tr)
			}
			if err == nil && tr.Entry.Type != "CRAW" {
				t.Errorf("entry %+v", tr.Entry)
			}
		})
	}
}

// FuzzBMFF walks whatever it gets to some depth and reads every table. Boxes stay
// inside what is around them, items that lie in the meta box stay in the file, and
// the limits of the source hold.
func FuzzBMFF(f *testing.F) {
	f.Add(trak(stsd("CRAW"), craft.FullBox("stsz", 0, 0, craft.U32(0, 3, 40, 50, 60)), craft.FullBox("co64", 0, 0, craft.U32(1), craft.U64(99))))
	f.Add(craft.Join(craft.Box("ftyp", []byte("heic"), craft.U32(0), []byte("mif1")), metaBox(
		craft.FullBox("pitm", 0, 0, craft.U16(1)), iinf(infe(1, "hvc1", ""), infe(2, "mime", "image/jpeg\x00")),
		craft.FullBox("iloc", 1, 0, craft.U16(0x4440, 1, 1, 1, 0), craft.U32(0), craft.U16(1), craft.U32(2, 3)),
		craft.FullBox("iref", 0, 0, craft.Box("cdsc", craft.U16(2, 1, 1))), craft.Box("idat", make([]byte, 9)),
		craft.Box("iprp", craft.Box("ipco", craft.Box("irot", []byte{1})), craft.FullBox("ipma", 0, 0, craft.U32(1), craft.U16(1), []byte{1, 1})))))
	f.Add(craft.Join(craft.U32(1), []byte("uuid"), craft.U64(1<<63), make([]byte, 40)))
	f.Add(craft.Join(craft.U32(0), []byte("moov"), craft.U32(0), []byte("moov"), craft.U32(0), []byte("trak")))
	f.Fuzz(func(t *testing.T, data []byte) {
		c := &craft.Counter{R: bytes.NewReader(data)}
		r := bmff.NewReader(bin.NewSource(c, int64(len(data)), 16, 128<<10))
		walk(t, r, 0, int64(len(data)), 0, func() ([]bmff.Box, error) { return r.Top() })
		if c.Reads > 16 || c.Bytes > 128<<10 {
			t.Fatalf("%d reads, %d bytes", c.Reads, c.Bytes)
		}
	})
}

func walk(t *testing.T, r *bmff.Reader, start, end int64, depth int, list func() ([]bmff.Box, error)) {
	boxes, _ := list()
	for _, b := range boxes {
		if b.Offset < start || b.Body < b.Offset+8 || b.End < b.Body || b.End > end {
			t.Fatalf("box %+v in %d to %d", b, start, end)
		}
		start = b.End
		switch b.Type {
		case "meta":
			m, err := r.Items(b)
			if m == nil {
				t.Fatal("no items", err)
			}
			for _, it := range m.List {
				if it.Offset < 0 || it.Length < 0 || it.Offset+it.Length < 0 {
					t.Fatalf("item %+v", it)
				}
			}
		case "trak":
			if tr, err := r.Track(b); err == nil && (tr.Offset < 0 || tr.Length < 0) {
				t.Fatalf("track %+v", tr)
			}
		case "ftyp":
			if br, err := r.Brands(b); err == nil && len(br) > 66 {
				t.Fatalf("%d brands", len(br))
			}
		}
		const levels = 6
		if depth < levels {
			for _, skip := range []int64{0, 4} {
				if skip <= b.Len() {
					walk(t, r, b.Body, b.End, depth+1, func() ([]bmff.Box, error) { return r.Children(b, skip) })
				}
			}
		}
	}
}
