package build_test

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"
	"time"

	"garner/preview/build"
)

// picture is a small JPEG of that size with some structure in it, so that no
// two sizes give the same bytes.
func picture(t testing.TB, w, h int) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetGray(x, y, color.Gray{Y: uint8(x*255/w) ^ uint8(y*64/h)})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 60}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pictures(t testing.TB) build.Pictures {
	return build.Pictures{Full: picture(t, 600, 400), Screen: picture(t, 324, 216), Thumb: picture(t, 160, 120)}
}

// exposure has a value in every field, each chosen so that a wrong type, order
// or sign shows.
func exposure() build.Shot {
	return build.Shot{
		Make: "Varnholt", Model: "Varnholt V6", Serial: "00412077", Software: "Firmware 1.10",
		Taken:       build.Clock{Wall: time.Date(2026, 6, 13, 14, 2, 11, 70_000_000, time.UTC), Digits: 2, Zone: -150, HasZone: true},
		Orientation: 6,
		Seconds:     build.Rational{Num: 1, Den: 250}, FNumber: build.Rational{Num: 28, Den: 10}, ISO: 3200,
		Bias: build.Rational{Num: -1, Den: 3}, Flash: true, Bracket: true,
		Focal: build.Rational{Num: 85, Den: 1}, Lens: "Varnholt 85 mm f/1.8",
		SubjectArea: &build.Area{X: 301, Y: 142, W: 80, H: 60}, Counter: 73210, Rating: 4,
		UniqueID: "0123456789abcdef0123456789abcdef", Width: 600, Height: 400,
	}
}

// layouts are all writers with the name exiftool gives the file type.
var layouts = []struct {
	name, ext, fileType string
	write               func(build.Shot, build.Pictures) ([]byte, error)
}{
	{"DNG little endian", "dng", "DNG", func(s build.Shot, p build.Pictures) ([]byte, error) { return build.DNG(s, p, binary.LittleEndian) }},
	{"DNG big endian", "dng", "DNG", func(s build.Shot, p build.Pictures) ([]byte, error) { return build.DNG(s, p, binary.BigEndian) }},
	{"NEF little endian", "nef", "NEF", func(s build.Shot, p build.Pictures) ([]byte, error) { return build.NEF(s, p, binary.LittleEndian) }},
	{"NEF big endian", "nef", "NEF", func(s build.Shot, p build.Pictures) ([]byte, error) { return build.NEF(s, p, binary.BigEndian) }},
	{"ARW", "arw", "ARW", func(s build.Shot, p build.Pictures) ([]byte, error) { return build.ARW(s, p, binary.LittleEndian) }},
	{"CR3", "cr3", "CR3", build.CR3},
	{"RAF", "raf", "RAF", build.RAF},
	{"JPEG", "jpg", "JPEG", func(s build.Shot, p build.Pictures) ([]byte, error) { return build.JPEG(s, p, true) }},
}

func written(t testing.TB, dir string, i int) string {
	t.Helper()
	b, err := layouts[i].write(exposure(), pictures(t))
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "f."+layouts[i].ext)
	if err := os.WriteFile(name, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}
