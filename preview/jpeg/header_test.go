package jpeg

import (
	"bytes"
	"image/jpeg"
	"io"
	"testing"
)

func TestConfigAgreesWithTheStandardLibrary(t *testing.T) {
	for _, name := range codings {
		src := corpus(t, name)
		want, err := jpeg.DecodeConfig(bytes.NewReader(src))
		if err != nil {
			t.Fatal(err)
		}
		file := append(append([]byte("something before"), src...), "and after"...)
		got, err := Config(bytes.NewReader(file), 16, int64(len(src)))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got.Width != want.Width || got.Height != want.Height || got.Precision != 8 {
			t.Errorf("%s: %+v, want %dx%d", name, got, want.Width, want.Height)
		}
		if got.Progressive != bytes.Contains(src, []byte{0xFF, 0xC2, 0x00}) {
			t.Errorf("%s: progressive %v", name, got.Progressive)
		}
	}
}

type countingReader struct {
	io.ReaderAt
	reads, bytes int
}

func (c *countingReader) ReadAt(p []byte, off int64) (int, error) {
	n, err := c.ReaderAt.ReadAt(p, off)
	c.reads, c.bytes = c.reads+1, c.bytes+n
	return n, err
}

// Large metadata segments are stepped over, not read.
func TestConfigSkipsLargeSegments(t *testing.T) {
	src := coded(t, scene(64, 48), 80)
	b := append([]byte(nil), src[:2]...)
	for range 20 {
		b = append(b, 0xFF, 0xE2, 0xFF, 0xFF)
		b = append(b, make([]byte, 0xFFFF-2)...)
	}
	b = append(b, src[2:]...)
	r := &countingReader{ReaderAt: bytes.NewReader(b)}
	got, err := Config(r, 0, int64(len(b)))
	if err != nil || got.Width != 64 || got.Height != 48 {
		t.Fatalf("%+v, %v", got, err)
	}
	if r.reads > 24 || r.bytes > 100<<10 {
		t.Errorf("%d reads of %d bytes", r.reads, r.bytes)
	}
}

func TestConfigOfBrokenHeaders(t *testing.T) {
	src := coded(t, scene(64, 48), 80)
	h, err := headerOf(src)
	if err != nil {
		t.Fatal(err)
	}
	for n := range int(h.sos) {
		if got, err := Config(bytes.NewReader(src), 0, int64(n)); err == nil || got != (Info{}) {
			t.Fatalf("%d bytes of the header: %+v, %v", n, got, err)
		}
	}
	loop := append([]byte{0xFF, 0xD8}, bytes.Repeat([]byte{0xFF, 0xE0, 0, 2}, 100000)...)
	if _, err := Config(bytes.NewReader(loop), 0, int64(len(loop))); err == nil {
		t.Error("a hundred thousand empty segments were walked")
	}
	if _, err := Config(bytes.NewReader(src), 5, int64(len(src))); err == nil {
		t.Error("no SOI and no error")
	}
}
