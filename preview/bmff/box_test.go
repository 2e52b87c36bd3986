package bmff_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"garner/preview/bmff"
	"garner/preview/internal/bin"
	"garner/preview/internal/craft"
)

func reader(data []byte) *bmff.Reader {
	return bmff.NewReader(bin.NewSource(bytes.NewReader(data), int64(len(data)), 16, 128<<10))
}

// layout writes boxes as type, offset, body and end.
func layout(boxes []bmff.Box) string {
	var s []string
	for _, b := range boxes {
		t := fmt.Sprintf("%s %d %d %d", b.Type, b.Offset, b.Body, b.End)
		if b.Cut {
			t += " cut"
		}
		s = append(s, t)
	}
	return strings.Join(s, ", ")
}

// Forms of a header: ISO/IEC 14496-12 §4.2.
func TestHeaderForms(t *testing.T) {
	free := craft.Box("free", make([]byte, 4))
	uuid := bytes.Repeat([]byte{0xAB}, 16)
	for _, c := range []struct {
		name string
		data []byte
		want string
		err  error
	}{
		{"nothing", nil, "", nil},
		{"two", craft.Join(free, craft.Box("skip")), "free 0 8 12, skip 12 20 20", nil},
		{"64 bits", craft.Join(craft.Box64("mdat", make([]byte, 9)), free), "mdat 0 16 25, free 25 33 37", nil},
		{"to the end", craft.Join(free, craft.U32(0), []byte("mdat"), make([]byte, 100)), "free 0 8 12, mdat 12 20 120", nil},
		{"uuid", craft.Join(craft.Box("uuid", uuid, []byte{1, 2}), free), "uuid 0 24 26, free 26 34 38", nil},
		{"uuid in 64 bits", craft.Box64("uuid", uuid, []byte{1, 2}), "uuid 0 32 34", nil},
		{"past the end", craft.Join(free, craft.U32(99), []byte("mdat"), make([]byte, 10)), "free 0 8 12, mdat 12 20 30 cut", nil},
		{"2^63 bytes", craft.Join(craft.U32(1), []byte("mdat"), craft.U64(1<<63), make([]byte, 10)), "mdat 0 16 26 cut", nil},
		{"2^64-1 bytes", craft.Join(craft.U32(1), []byte("mdat"), craft.U64(math.MaxUint64)), "mdat 0 16 16 cut", nil},
		{"2^63-1 bytes", craft.Join(free, craft.U32(1), []byte("mdat"), craft.U64(math.MaxInt64)), "free 0 8 12, mdat 12 28 28 cut", nil},
		{"7 bytes of padding", craft.Join(free, make([]byte, 7)), "free 0 8 12", nil},
		{"size 2", craft.Join(free, craft.U32(2), []byte("mdat")), "free 0 8 12", bmff.ErrSize},
		{"size 7", craft.Join(free, craft.U32(7), []byte("mdat")), "free 0 8 12", bmff.ErrSize},
		{"size 15 in 64 bits", craft.Join(free, craft.U32(1), []byte("mdat"), craft.U64(15)), "free 0 8 12", bmff.ErrSize},
		{"size 0 in 64 bits", craft.Join(free, craft.U32(1), []byte("mdat"), craft.U64(0)), "free 0 8 12", bmff.ErrSize},
		{"64 bits without them", craft.Join(free, craft.U32(1), []byte("mdat"), make([]byte, 7)), "free 0 8 12", bmff.ErrSize},
		{"uuid without it", craft.Join(free, craft.Box("uuid", uuid[:15])), "free 0 8 12", bmff.ErrSize},
		{"uuid shorter than itself", craft.Join(craft.U32(20), []byte("uuid"), uuid, free), "", bmff.ErrSize},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := reader(c.data).Top()
			if layout(got) != c.want || !errors.Is(err, c.err) || (err == nil) != (c.err == nil) {
				t.Errorf("%s, %v; want %s, %v", layout(got), err, c.want, c.err)
			}
			if len(got) > 0 && got[0].Type == "uuid" && !bytes.Equal(got[0].UUID[:], uuid) {
				t.Errorf("extended type %x", got[0].UUID)
			}
		})
	}
}

func TestChildrenStayInside(t *testing.T) {
	inner := craft.Join(craft.Box("free"), craft.U32(1000), []byte("trak"), make([]byte, 12))
	data := craft.Join(craft.Box("moov", craft.U32(7), inner), craft.Box("mdat", make([]byte, 2000)))
	r := reader(data)
	top, err := r.Top()
	if err != nil || len(top) != 2 {
		t.Fatal(layout(top), err)
	}
	kids, err := r.Children(top[0], 4)
	if want := "free 12 20 20, trak 20 28 40 cut"; layout(kids) != want || err != nil {
		t.Errorf("%s, %v; want %s", layout(kids), err, want)
	}
	for _, skip := range []int64{-1, 33, math.MaxInt64} {
		if kids, err := r.Children(top[0], skip); kids != nil || !errors.Is(err, bin.ErrEnd) {
			t.Errorf("skip %d: %s, %v", skip, layout(kids), err)
		}
	}
}

// The limit is for one reader, however its calls are spread.
func TestTooManyBoxes(t *testing.T) {
	const limit = 4096
	data := bytes.Repeat(craft.Box("free"), limit+1)
	got, err := reader(data).Top()
	if len(got) != limit || !errors.Is(err, bmff.ErrTooMany) {
		t.Errorf("%d boxes, %v", len(got), err)
	}
	r := reader(craft.Box("moov", bytes.Repeat(craft.Box("free"), limit/4)))
	top, err := r.Top()
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		if _, err := r.Children(top[0], 0); err != nil {
			t.Fatal(err)
		}
	}
	if kids, err := r.Children(top[0], 0); !errors.Is(err, bmff.ErrTooMany) || len(kids) != limit/4-1 {
		t.Errorf("%d boxes, %v", len(kids), err)
	}
}

func TestInsideFollowsTypes(t *testing.T) {
	data := craft.Box("trak", craft.Box("tkhd"), craft.Box("mdia", craft.Box("minf", craft.Box("stbl", make([]byte, 3)))))
	r := reader(data)
	top, _ := r.Top()
	b, ok, err := r.Inside(top[0], "mdia", "minf", "stbl")
	if !ok || err != nil || b.Type != "stbl" || b.Len() != 3 {
		t.Errorf("%+v, %v, %v", b, ok, err)
	}
	if _, ok, err := r.Inside(top[0], "mdia", "dinf"); ok || err != nil {
		t.Errorf("%v, %v for what is not there", ok, err)
	}
}

func TestFullBox(t *testing.T) {
	r := reader(craft.Join(craft.FullBox("pitm", 3, 0x010203, craft.U16(9)), craft.Box("pitm", make([]byte, 3))))
	top, _ := r.Top()
	v, flags, c, err := r.Full(top[0], 100)
	if v != 3 || flags != 0x010203 || err != nil || c.U16() != 9 || c.Left() != 0 {
		t.Errorf("version %d, flags %x, %v", v, flags, err)
	}
	if _, _, _, err := r.Full(top[1], 100); !errors.Is(err, bmff.ErrSize) {
		t.Errorf("three bytes are a full box: %v", err)
	}
}

// §4.3: the major brand, a version, the compatible brands.
func TestBrands(t *testing.T) {
	r := reader(craft.Box("ftyp", []byte("heic"), craft.U32(7), []byte("mif1heicxx")))
	top, _ := r.Top()
	b, err := r.Brands(top[0])
	if err != nil || fmt.Sprint(b) != "[heic mif1 heic]" || b.Major() != "heic" || !b.Has("avif", "mif1") || b.Has("\x00\x00\x00\x07") {
		t.Errorf("%q, %v", b, err)
	}
	if m := bmff.Brands(nil).Major(); m != "" {
		t.Errorf("major brand %q of none", m)
	}
	long := reader(craft.Box("ftyp", bytes.Repeat([]byte("mif1"), 20_000)))
	top, _ = long.Top()
	if b, err := long.Brands(top[0]); err != nil || len(b) > 100 {
		t.Errorf("%d brands, %v", len(b), err)
	}
}

func TestAt(t *testing.T) {
	r := reader(craft.Join(make([]byte, 5), craft.Box("uuid", make([]byte, 20))))
	if b, err := r.At(5); err != nil || b.Type != "uuid" || b.Offset != 5 || b.End != 33 {
		t.Errorf("%+v, %v", b, err)
	}
	for _, off := range []int64{-1, 26, 33, math.MaxInt64} {
		if _, err := r.At(off); !errors.Is(err, bin.ErrEnd) {
			t.Errorf("a box at %d: %v", off, err)
		}
	}
}
