package marker_test

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"math"
	"testing"

	"garner/preview/internal/bin"
	"garner/preview/internal/craft"
	"garner/preview/internal/marker"
)

func source(b []byte) *bin.Source {
	return bin.NewSource(bytes.NewReader(b), int64(len(b)), 64, 1<<20)
}

// encoded is a real JPEG by the standard library's encoder.
func encoded(t testing.TB, w, h int) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, w, h)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestWalkReadsARealFile(t *testing.T) {
	b := append(bytes.Repeat([]byte{0x55}, 777), encoded(t, 123, 45)...)
	info, err := marker.Walk(source(b), 777, int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	if info.SOF != marker.SOF0 || info.Width != 123 || info.Height != 45 || info.Components != 1 || info.Precision != 8 {
		t.Errorf("%+v", info)
	}
	if !bytes.HasPrefix(b[info.Scan:], []byte{0xFF, 0xDA}) {
		t.Errorf("no SOS at %d", info.Scan)
	}
}

func TestWalkFindsTheSegments(t *testing.T) {
	tiff := []byte("II*\x00\x08\x00\x00\x00\x00\x00\x00\x00\x00\x00")
	b := craft.JPEG(marker.SOF2, 6000, 4000, 10,
		craft.Segment(0xE0, []byte("JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x00\x00")),
		craft.Exif(tiff), craft.XMP("<x:xmpmeta/>"), craft.MPF(tiff), craft.Segment(0xE2, []byte("ICC_PROFILE\x00\x01\x01")))
	info, err := marker.Walk(source(b), 0, int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []struct {
		name string
		at   marker.Place
		want []byte
	}{
		{"Exif", info.Exif, tiff},
		{"XMP", info.XMP, []byte("<x:xmpmeta/>")},
		{"MPF", info.MPF, tiff},
	} {
		if got := b[p.at.Offset : p.at.Offset+p.at.Length]; !bytes.Equal(got, p.want) {
			t.Errorf("%s at %+v is %q", p.name, p.at, got)
		}
	}
	if info.SOF != marker.SOF2 || info.Width != 6000 || info.Height != 4000 || info.Components != 3 || !info.DCT() {
		t.Errorf("%+v", info)
	}
}

// ITU-T T.81 table B.1: which markers begin a frame.
func TestEveryFrameMarker(t *testing.T) {
	for m := 0xC0; m <= 0xCF; m++ {
		b := craft.JPEG(byte(m), 64, 48, 0)
		info, err := marker.Frame(source(b), 0, int64(len(b)))
		frame := m != 0xC4 && m != 0xC8 && m != 0xCC
		if got := err == nil && int(info.SOF) == m; got != frame {
			t.Errorf("FF%X: taken as a frame header: %v", m, got)
		}
		if info.DCT() != (m <= 0xC2) {
			t.Errorf("FF%X: DCT() = %v", m, info.DCT())
		}
	}
}

func TestFillBytesAndMarkersWithoutLength(t *testing.T) {
	b := craft.JPEG(marker.SOF0, 640, 480, 0, []byte{0xFF, 0xFF, 0xFF}, []byte{0xFF, 0x01}, []byte{0xFF, 0xD3})
	info, err := marker.Walk(source(b), 0, int64(len(b)))
	if err != nil || info.Width != 640 || info.Scan == 0 {
		t.Errorf("%+v, %v", info, err)
	}
}

func TestWalkJumpsOverLargeSegments(t *testing.T) {
	var before [][]byte
	for range 5 {
		before = append(before, craft.Segment(0xE2, make([]byte, 60_000)))
	}
	b := craft.JPEG(marker.SOF0, 640, 480, 1<<20, before...)
	c := &craft.Counter{R: bytes.NewReader(b)}
	src := bin.NewSource(c, int64(len(b)), 16, 128<<10)
	if _, err := marker.Walk(src, 0, int64(len(b))); err != nil {
		t.Fatal(err)
	}
	if c.Reads > 6 || c.Bytes > 60<<10 {
		t.Errorf("%d reads, %d bytes for five segments", c.Reads, c.Bytes)
	}
}

func TestWalkRefuses(t *testing.T) {
	good := craft.JPEG(marker.SOF0, 640, 480, 0)
	many := []byte{0xFF, 0xD8}
	for range 300 {
		many = append(many, craft.Segment(0xFE, nil)...)
	}
	zero := append([]byte{0xFF, 0xD8, 0xFF, 0xE0, 0, 0}, good[2:]...)
	long := append([]byte{0xFF, 0xD8, 0xFF, 0xE0, 0xFF, 0xFF}, good[2:]...)
	for _, c := range []struct {
		name     string
		data     []byte
		off, end int64
		want     error
	}{
		{"no SOI", []byte("not a JPEG at all"), 0, 17, marker.ErrNoJPEG},
		{"nothing", nil, 0, 0, bin.ErrEnd},
		{"only SOI", good[:2], 0, 2, bin.ErrEnd},
		{"offset past the end", good, int64(len(good)) + 5, math.MaxInt64, bin.ErrEnd},
		{"negative offset", good, -4, math.MaxInt64, bin.ErrEnd},
		{"huge offset", good, math.MaxInt64, math.MaxInt64, bin.ErrEnd},
		{"end before start", good, 10, 5, bin.ErrEnd},
		{"no marker", append([]byte{0xFF, 0xD8}, "abcdefgh"...), 0, 10, marker.ErrSyntax},
		{"EOI first", []byte{0xFF, 0xD8, 0xFF, 0xD9, 0, 0}, 0, 6, marker.ErrNoFrame},
		{"segment of length 0", zero, 0, int64(len(zero)), bin.ErrEnd},
		{"segment past the end", long, 0, int64(len(long)), bin.ErrEnd},
		{"ends before the frame", good[:8], 0, 8, bin.ErrEnd},
		{"300 comments", many, 0, int64(len(many)), marker.ErrTooMany},
	} {
		info, err := marker.Walk(source(c.data), c.off, c.end)
		if !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
		if info.Scan != 0 {
			t.Errorf("%s: a scan at %d", c.name, info.Scan)
		}
	}
}

// FuzzMarker holds what callers rely on: places inside the range, the scan at an
// SOS marker, the same answer twice, bounded reading, and agreement with the
// standard library on files that it can read.
func FuzzMarker(f *testing.F) {
	f.Add(craft.JPEG(marker.SOF0, 640, 480, 10), uint16(0))
	f.Add(craft.JPEG(marker.SOF3, 640, 480, 10, craft.Exif([]byte("II*\x00\x08\x00\x00\x00")), craft.XMP("<x/>"), craft.MPF([]byte("MM\x00*"))), uint16(0))
	f.Add(encoded(f, 16, 16), uint16(0))
	f.Add(append(make([]byte, 99), encoded(f, 8, 24)...), uint16(99))
	f.Fuzz(func(t *testing.T, data []byte, at uint16) {
		off, end := int64(at), int64(len(data))
		c := &craft.Counter{R: bytes.NewReader(data)}
		info, err := marker.Walk(bin.NewSource(c, end, 16, 128<<10), off, end)
		if c.Reads > 16 || c.Bytes > 128<<10 {
			t.Fatalf("%d reads, %d bytes", c.Reads, c.Bytes)
		}
		for _, p := range []marker.Place{info.Exif, info.XMP, info.MPF} {
			if p.Length < 0 || p.Length > 0 && (p.Offset < off || p.Offset > end || p.Length > end-p.Offset) {
				t.Fatalf("%+v outside %d to %d", p, off, end)
			}
		}
		if err == nil && !bytes.HasPrefix(data[info.Scan:], []byte{0xFF, 0xDA}) {
			t.Fatalf("no SOS at %d", info.Scan)
		}
		if again, err2 := marker.Walk(source(data), off, end); again != info && err == nil || (err == nil) != (err2 == nil) && c.Reads < 16 {
			t.Fatalf("%+v, %v; then %+v, %v", info, err, again, err2)
		}
		if off > end {
			return
		}
		if cfg, e := jpeg.DecodeConfig(bytes.NewReader(data[off:])); e == nil && err == nil {
			if cfg.Width != info.Width || cfg.Height != info.Height {
				t.Fatalf("image/jpeg says %dx%d, the walk %dx%d", cfg.Width, cfg.Height, info.Width, info.Height)
			}
		}
	})
}
