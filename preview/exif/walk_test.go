package exif_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"garner/preview/exif"
	"garner/preview/internal/bin"
	"garner/preview/internal/craft"
)

// full is a structure with every kind of directory.
func full(order binary.ByteOrder) []byte {
	b := craft.NewTIFF(order)
	note := craft.NewTIFF(order)
	preview := note.IFD(0, note.Long(0x0201, 100), note.Long(0x0202, 50))
	nikon := append([]byte("Nikon\x00\x02\x10\x00\x00"), note.Bytes(note.IFD(0, note.Long(0x0011, preview), note.Text(0x001D, "6003812")))...)
	inter := b.IFD(0, b.Text(1, "R03"))
	sub := b.IFD(0, b.Text(0x9003, "2022:10:02 17:37:26"), b.Short(0xA001, 0xFFFF), b.Long(0xA005, inter), b.Undefined(0x927C, nikon))
	inner := b.IFD(0, b.Short(0x0103, 7))
	s1 := b.IFD(0, b.Short(0x0103, 6), b.Long(0x014A, inner))
	s2chain := b.IFD(0, b.Short(0x0103, 6))
	s2 := b.IFD(s2chain, b.Short(0x0103, 1))
	ifd2 := b.IFD(0, b.Short(0x0103, 6))
	ifd1 := b.IFD(ifd2, b.Short(0x0103, 6))
	return b.Bytes(b.IFD(ifd1, b.Text(0x010F, "NIKON"), b.Long(0x014A, s1, s2), b.Long(0x8769, sub)))
}

func TestWalkComesToEveryDirectory(t *testing.T) {
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		data := full(order)
		src := bin.NewSource(bytes.NewReader(data), int64(len(data)), 16, 128<<10)
		m := exif.NewMeta()
		var got []string
		err := exif.Walk(src, 0, int64(len(data)), exif.RootIFD0, &m, exif.Visitor{
			Dir:   func(d exif.Dir) { got = append(got, fmt.Sprint(d.Kind, ":", d.Index, string(d.Maker))) },
			Fault: func(what string, err error) { t.Errorf("%s: %v", what, err) },
		})
		if err != nil {
			t.Fatal(err)
		}
		want := []string{
			fmt.Sprint(exif.DirMain, ":0"), fmt.Sprint(exif.DirExif, ":0"), fmt.Sprint(exif.DirInterop, ":0"),
			fmt.Sprint(exif.DirNote, ":0Nikon"), fmt.Sprint(exif.DirNoteSub, ":17Nikon"),
			fmt.Sprint(exif.DirSub, ":0"), fmt.Sprint(exif.DirSub, ":0"), fmt.Sprint(exif.DirSub, ":0"), fmt.Sprint(exif.DirSub, ":1"),
			fmt.Sprint(exif.DirMain, ":1"), fmt.Sprint(exif.DirMain, ":2"),
		}
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%v\nwant\n%v", got, want)
		}
		if m.ColorSpace != "Adobe RGB" || m.Serial != "6003812" {
			t.Errorf("%+v", m)
		}
	}
}

func TestThumbnailsRepeatingThePointerAreNoLoop(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	sub := b.IFD(0, b.Short(0x8827, 100))
	ifd1 := b.IFD(0, b.Long(0x8769, sub))
	if _, err := read(t, b.Bytes(b.IFD(ifd1, b.Long(0x8769, sub))), exif.RootIFD0, exif.NewMeta()); err != nil {
		t.Error(err)
	}
}

// The largest directory that is not marked as reduced has the picture's size,
// unless Exif says it.
func TestSizeOfThePicture(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	size := func(kind, w, h uint32) uint32 {
		return b.IFD(0, b.Long(0x00FE, kind), b.Long(0x0100, w), b.Long(0x0101, h))
	}
	preview, raw := size(1, 8000, 6000), size(0, 6036, 4020)
	m, err := read(t, b.Bytes(b.IFD(0, b.Long(0x00FE, 1), b.Long(0x0100, 160), b.Long(0x0101, 120), b.Long(0x014A, preview, raw))), exif.RootIFD0, exif.NewMeta())
	if err != nil || m.Width != 6036 || m.Height != 4020 {
		t.Errorf("%dx%d, %v", m.Width, m.Height, err)
	}
}

// FuzzExif holds that reading ends, stays in its limits, gives the same twice,
// and only ever values that can be.
func FuzzExif(f *testing.F) {
	f.Add(full(binary.LittleEndian), uint8(0))
	f.Add(full(binary.BigEndian), uint8(1))
	b := craft.NewTIFF(binary.LittleEndian)
	f.Add(b.Bytes(b.IFD(0, b.Long(0x000C, 12345), b.Long(0x0008, 1000001))), uint8(3))
	f.Fuzz(func(t *testing.T, data []byte, kind uint8) {
		root := exif.Root(kind % 4)
		c := &craft.Counter{R: bytes.NewReader(data)}
		m := exif.NewMeta()
		err := exif.Read(bin.NewSource(c, int64(len(data)), 16, 128<<10), 0, int64(len(data)), root, &m)
		if c.Reads > 16 || c.Bytes > 128<<10 {
			t.Fatalf("%d reads, %d bytes", c.Reads, c.Bytes)
		}
		again, err2 := read(t, data, root, exif.NewMeta())
		if text(m) != text(again) || (err == nil) != (err2 == nil) {
			t.Fatalf("%s, %v\nthen\n%s, %v", text(m), err, text(again), err2)
		}
		possible(t, m)
	})
}

func text(m exif.Meta) string {
	bias := "unknown"
	if m.Bias != nil {
		bias = fmt.Sprint(*m.Bias)
	}
	m.Bias = nil
	return fmt.Sprintf("%+v bias %s", m, bias)
}

func possible(t *testing.T, m exif.Meta) {
	t.Helper()
	for name, v := range map[string]float64{"seconds": m.Seconds, "f-number": m.FNumber, "focal length": m.FocalLength} {
		if v < 0 || math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%s %v", name, v)
		}
	}
	if m.Bias != nil && !(math.Abs(*m.Bias) <= 20) {
		t.Fatalf("bias %v", *m.Bias)
	}
	if m.Orientation < 0 || m.Orientation > 8 || m.ISO < 0 || m.Rating < -1 || m.Rating > 5 || m.Counter < 0 || m.Width < 0 || m.Height < 0 {
		t.Fatalf("%+v", m)
	}
	if y := m.Taken.Wall.Year(); m.Taken.Known() && (y < 1900 || y > 9999) {
		t.Fatalf("year %d", y)
	}
	for _, s := range []string{m.Make, m.Model, m.Serial, m.Lens, m.Software, m.UniqueID} {
		if !utf8.ValidString(s) || len(s) > 4*256 || strings.ContainsRune(s, 0) {
			t.Fatalf("text %q", s)
		}
	}
}
