package raw_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"garner/preview/internal/craft"
	"garner/preview/raw"
)

func TestNotAPicture(t *testing.T) {
	var format *raw.FormatError
	var unsupported *raw.UnsupportedError
	for _, c := range []struct {
		name string
		data string
		as   any
	}{
		{"empty", "", &format},
		{"one byte", "I", &unsupported},
		{"text", "hello, this is text, and long enough to be looked at", &unsupported},
		{"PNG", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", &unsupported},
		{"BigTIFF", "II\x2B\x00\x08\x00\x00\x00\x10\x00\x00\x00\x00\x00\x00\x00", &unsupported},
		{"TIFF header alone", "II*\x00\x08\x00\x00\x00", &format},
		{"first directory outside", "II*\x00\xFF\xFF\xFF\xFF", &format},
	} {
		f, err := located(t, []byte(c.data))
		if f != nil || !errors.As(err, c.as) {
			t.Errorf("%s: %v, %T %v", c.name, f, err, err)
		}
		if err != nil && (strings.HasSuffix(err.Error(), ".") || err.Error() != strings.ToLower(err.Error()[:1])+err.Error()[1:]) {
			t.Errorf("%s: style of %q", c.name, err)
		}
	}
	if f, err := raw.Locate(bytes.NewReader(nil), -5); f != nil || !errors.As(err, &format) {
		t.Errorf("size -5: %v, %v", f, err)
	}
}

// damage is a file with one thing wrong, and the code it must be listed under.
type damage struct {
	name  string
	code  string
	build func(b *craft.TIFF) (first uint32)
	// whole is how many previews must still be found.
	whole int
}

func TestDamagedTIFF(t *testing.T) {
	for _, d := range []damage{
		{"a preview past the end, a smaller one inside", raw.ProblemCutOff, func(b *craft.TIFF) uint32 {
			small := picture(b, 160, 120)
			ifd1 := b.IFD(0, pointer(b, small)...)
			return b.IFD(ifd1, b.Long(0x0201, 1<<24), b.Long(0x0202, 1<<22))
		}, 1},
		{"a preview that begins inside and ends outside", raw.ProblemCutOff, func(b *craft.TIFF) uint32 {
			big := picture(b, 6000, 4000)
			small := picture(b, 160, 120)
			ifd1 := b.IFD(0, pointer(b, small)...)
			return b.IFD(ifd1, b.Long(0x0201, uint32(big.off)), b.Long(0x0202, 1<<22))
		}, 1},
		{"offset and length add up past 32 bits", raw.ProblemCutOff, func(b *craft.TIFF) uint32 {
			return b.IFD(0, b.Long(0x0201, 0xFFFFFFF0), b.Long(0x0202, 0xFFFFFFF0))
		}, 0},
		{"no JPEG where one is said to be", raw.ProblemNotJPEG, func(b *craft.TIFF) uint32 {
			return b.IFD(0, b.Long(0x0201, b.Blob(make([]byte, 900))), b.Long(0x0202, 900))
		}, 0},
		{"a JPEG without a frame", raw.ProblemNotJPEG, func(b *craft.TIFF) uint32 {
			at := b.Blob([]byte{0xFF, 0xD8, 0xFF, 0xD9, 0, 0, 0, 0})
			return b.IFD(0, b.Long(0x0201, at), b.Long(0x0202, 8))
		}, 0},
		{"a JPEG of no height", raw.ProblemNotJPEG, func(b *craft.TIFF) uint32 {
			return b.IFD(0, pointer(b, picture(b, 6000, 0))...)
		}, 0},
		{"all ones and length 0: none", raw.ProblemNoPreview, func(b *craft.TIFF) uint32 {
			return b.IFD(0, b.Short(0x0103, 6), b.Long(0x0111, 0xFFFFFFFF), b.Long(0x0117, 0), b.Long(0x0201, 0xFFFFFFFF), b.Long(0x0202, 77))
		}, 0},
		{"length 0", raw.ProblemNoPreview, func(b *craft.TIFF) uint32 {
			return b.IFD(0, b.Long(0x0201, uint32(picture(b, 60, 40).off)), b.Long(0x0202, 0))
		}, 0},
		{"a chain that leads back", raw.ProblemLoop, func(b *craft.TIFF) uint32 {
			p := pointer(b, picture(b, 160, 120))
			return b.IFD(b.Len(), p...)
		}, 1},
		{"two directories that follow one another", raw.ProblemLoop, func(b *craft.TIFF) uint32 {
			p := pointer(b, picture(b, 160, 120))
			two := b.IFD(0, b.Short(0x0112, 1))
			one := b.IFD(two, p...)
			b.Patch32(craft.NextAt(two, 1), one)
			return one
		}, 1},
		{"a SubIFD that is its parent", raw.ProblemLoop, func(b *craft.TIFF) uint32 {
			p := pointer(b, picture(b, 160, 120))
			return b.IFD(0, append(p, b.Long(0x014A, b.Len()))...)
		}, 1},
		{"an Exif IFD that is IFD0", raw.ProblemLoop, func(b *craft.TIFF) uint32 {
			p := pointer(b, picture(b, 160, 120))
			return b.IFD(0, append(p, b.Long(0x8769, b.Len()))...)
		}, 1},
		{"the next directory past the end", raw.ProblemBadPlace, func(b *craft.TIFF) uint32 {
			return b.IFD(0x7FFFFFFF, pointer(b, picture(b, 160, 120))...)
		}, 1},
		{"four billion values", raw.ProblemBadCount, func(b *craft.TIFF) uint32 {
			return b.IFD(0, append(pointer(b, picture(b, 160, 120)), craft.Field{Tag: 0x0111, Type: 12, Count: math.MaxUint32, Data: []byte{8, 0, 0, 0}})...)
		}, 1},
		{"a directory of no entries", raw.ProblemBadCount, func(b *craft.TIFF) uint32 {
			return b.IFD(b.IFD(0), pointer(b, picture(b, 160, 120))...)
		}, 1},
		{"a thousand chained directories", raw.ProblemTooMuch, func(b *craft.TIFF) uint32 {
			p := pointer(b, picture(b, 160, 120))
			next := uint32(0)
			for range 1000 {
				next = b.IFD(next, b.Short(0x0103, 1))
			}
			return b.IFD(next, p...)
		}, 1},
		{"a hundred previews", raw.ProblemTooMuch, func(b *craft.TIFF) uint32 {
			next := uint32(0)
			for range 40 {
				next = b.IFD(next, pointer(b, picture(b, 160, 120))...)
			}
			return next
		}, 24},
		{"previews further apart than the limit lets be read", raw.ProblemReadLimit, func(b *craft.TIFF) uint32 {
			next := uint32(0)
			for range 20 {
				b.Blob(make([]byte, 60_000))
				next = b.IFD(next, pointer(b, picture(b, 160, 120))...)
			}
			return next
		}, 0},
	} {
		t.Run(d.name, func(t *testing.T) {
			b := craft.NewTIFF(binary.LittleEndian)
			f, err := located(t, b.Bytes(d.build(b)))
			if err != nil {
				t.Fatal(err)
			}
			whole, _ := spots(f)
			if !has(f, d.code) || len(whole) != d.whole && d.whole != 0 {
				t.Errorf("%d whole previews, want %d; problems %+v, want %s", len(whole), d.whole, f.Problems, d.code)
			}
			for _, p := range f.Problems {
				if p.Text == "" || strings.HasSuffix(p.Text, ".") {
					t.Errorf("style of %+v", p)
				}
			}
		})
	}
}

// What is cut off keeps the size that its header declares, where that is there.
func TestCutOffKeepsItsSize(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	small, big := picture(b, 160, 120), picture(b, 6000, 4000)
	ifd1 := b.IFD(0, pointer(b, small)...)
	f, err := located(t, b.Bytes(b.IFD(ifd1, b.Long(0x0201, uint32(big.off)), b.Long(0x0202, 1<<22))))
	if err != nil {
		t.Fatal(err)
	}
	whole, cut := spots(f)
	if fmt.Sprint(whole, cut) != fmt.Sprint([]spot{small}, []spot{{big.off, 1 << 22, 6000, 4000}}) {
		t.Errorf("whole %v, cut off %v", whole, cut)
	}
}

// Sensor data that begins like a JPEG is none, whether its header can be read or
// lies behind the end of a file that was cut.
func TestSensorDataIsNoPreview(t *testing.T) {
	for _, c := range []struct {
		name   string
		fields func(b *craft.TIFF) []craft.Field
	}{
		{"lossless, marked as full size", func(b *craft.TIFF) []craft.Field {
			data := craft.JPEG(0xC3, 6000, 4000, 900)
			return append(strip(b, spot{int64(b.Blob(data)), int64(len(data)), 0, 0}), b.Short(compression, 7))
		}},
		{"lossless, by pointer", func(b *craft.TIFF) []craft.Field {
			data := craft.JPEG(0xC3, 6000, 4000, 900)
			return pointer(b, spot{int64(b.Blob(data)), int64(len(data)), 0, 0})
		}},
		{"behind the end", func(b *craft.TIFF) []craft.Field {
			return []craft.Field{b.Short(compression, 7), b.Long(0x0111, 1<<24), b.Long(0x0117, 1<<22)}
		}},
		{"a mosaic that says baseline", func(b *craft.TIFF) []craft.Field {
			return append(strip(b, picture(b, 6000, 4000)), b.Short(compression, 7), b.Short(photometric, 32803))
		}},
		{"strips that need shared tables", func(b *craft.TIFF) []craft.Field {
			return append(strip(b, picture(b, 6000, 4000)), b.Short(compression, 7), b.Undefined(0x015B, make([]byte, 20)))
		}},
	} {
		b := craft.NewTIFF(binary.BigEndian)
		f, err := located(t, b.Bytes(b.IFD(0, c.fields(b)...)))
		if err != nil {
			t.Fatal(err)
		}
		if len(f.Previews) != 0 || has(f, raw.ProblemCutOff) || has(f, raw.ProblemNotJPEG) {
			t.Errorf("%s: %+v, %+v", c.name, f.Previews, f.Problems)
		}
	}
}

// T.81: SOF0, SOF1 and SOF2 are what ordinary decoders show.
func TestFrameKinds(t *testing.T) {
	for sof, want := range map[byte]bool{0xC0: true, 0xC1: true, 0xC2: true, 0xC3: false, 0xC5: false, 0xC9: false, 0xCB: false} {
		b := craft.NewTIFF(binary.LittleEndian)
		data := craft.JPEG(sof, 1600, 1200, 100)
		f, err := located(t, b.Bytes(b.IFD(0, pointer(b, spot{int64(b.Blob(data)), int64(len(data)), 0, 0})...)))
		if err != nil {
			t.Fatal(err)
		}
		if got := len(f.Previews) == 1; got != want {
			t.Errorf("FF%X: %+v", sof, f.Previews)
		} else if got && (f.Previews[0].Progressive != (sof == 0xC2) || f.Previews[0].Components != 3 || f.Previews[0].Precision != 8) {
			t.Errorf("FF%X: %+v", sof, f.Previews[0])
		}
	}
}

// A bad sector under one preview takes neither the others nor the metadata.
func TestDeviceErrors(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	small := picture(b, 160, 120)
	dir := b.IFD(0, pointer(b, small)...)
	ex := b.IFD(0, b.Short(0x8827, 100))
	at := b.Len() + 200_000
	first := b.IFD(dir, b.Long(0x8769, ex), b.Long(0x0201, at), b.Long(0x0202, 500))
	b.Blob(make([]byte, int(at-b.Len())))
	b.Blob(craft.JPEG(sof0, 6000, 4000, 500))
	data := b.Bytes(first)

	f, err := raw.Locate(&craft.Broken{R: bytes.NewReader(data), From: int64(at) - 100}, int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Previews) != 1 || f.Previews[0].Offset != small.off || f.Meta.ISO != 100 || !has(f, raw.ProblemReadError) {
		t.Errorf("%+v %+v", f.Previews, f.Problems)
	}
	// Where not even the head can be read there is no file, and the reader's own
	// error says why.
	if f, err := raw.Locate(&craft.Broken{R: bytes.NewReader(data), From: 0}, int64(len(data))); f != nil || !errors.Is(err, craft.ErrDevice) {
		t.Errorf("%v, %v", f, err)
	}
}
