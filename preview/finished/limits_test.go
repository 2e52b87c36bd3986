package finished_test

import (
	"bytes"
	"cmp"
	"compress/zlib"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"runtime"
	"strings"
	"testing"

	"garner/preview/finished"
	"garner/preview/internal/craft"
)

// chunk is a chunk of a PNG with its checksum.
func chunk(name string, data []byte) []byte {
	b := append([]byte(name), data...)
	return craft.Join(craft.U32(uint32(len(data))), b, craft.U32(crc32.ChecksumIEEE(b)))
}

func plainPNG(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewRGBA(image.Rect(0, 0, 5, 4))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// zeros is n bytes of zero, deflated.
func zeros(n int) []byte {
	var b bytes.Buffer
	z := zlib.NewWriter(&b)
	for ; n > 0; n -= 1 << 16 {
		z.Write(make([]byte, min(n, 1<<16)))
	}
	z.Close()
	return b.Bytes()
}

// packedTIFF is a grey TIFF of one strip or tile that holds data.
func packedTIFF(w, h uint32, coding uint16, data []byte, tiled bool) []byte {
	c := craft.NewTIFF(binary.LittleEndian)
	at := c.Blob(data)
	fields := []craft.Field{c.Long(256, w), c.Long(257, h), c.Short(258, 8), c.Short(259, coding), c.Short(262, 1)}
	if tiled {
		fields = append(fields, c.Long(322, w), c.Long(323, h), c.Long(324, at), c.Long(325, uint32(len(data))))
	} else {
		fields = append(fields, c.Long(273, at), c.Long(279, uint32(len(data))))
	}
	return c.Bytes(c.IFD(0, fields...))
}

func header(w, h uint32, interlaced byte) []byte {
	return append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", append(craft.U32(w, h), 8, 0, 0, 0, interlaced))...)
}

// Few bytes cannot ask for many: what they declare is refused, or unpacked a row at a
// time, and either takes little memory.
func TestFewBytesTakeLittle(t *testing.T) {
	pngOf := func(w, h uint32, interlaced byte, data []byte) []byte {
		return craft.Join(header(w, h, interlaced), chunk("IDAT", data), chunk("IEND", nil))
	}
	wide := append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", append(craft.U32(22000, 22000), 16, 6, 0, 0, 1))...)
	// XMP that unfolds to more than is read of it, a hundred times.
	packed := chunk("iTXt", craft.Join([]byte("XML:com.adobe.xmp\x00\x01\x00\x00\x00"), zeros(17<<20)))
	texts := craft.Join(header(4, 4, 0), bytes.Repeat(packed, 100), chunk("IDAT", zeros(20)), chunk("IEND", nil))
	for name, c := range map[string]struct {
		b    []byte
		want string // in the error; "" = none
		most uint64 // bytes that it may take; 0 = 3 MiB
	}{
		"deflate, all there":       {packedTIFF(20000, 1000, 8, zeros(20_000_000), false), "", 0},
		"deflate, one huge strip":  {packedTIFF(90000, 5000, 8, zeros(200_000), false), "more than the data can hold", 0},
		"deflate, less than said":  {packedTIFF(30000, 1000, 8, zeros(20_000_000), false), "cut off: 666 of 1000", 0},
		"a tile":                   {packedTIFF(90000, 5000, 8, zeros(200_000), true), "more than the data can hold", 0},
		"plain":                    {packedTIFF(90000, 5000, 1, make([]byte, 1000), false), "more than the data can hold", 0},
		"LZW":                      {packedTIFF(90000, 5000, 5, make([]byte, 1000), false), "more than the data can hold", 0},
		"too many pixels":          {packedTIFF(99999, 99999, 1, nil, false), "more than is read", 0},
		"a side too long":          {packedTIFF(100001, 1, 1, nil, false), "more than is read", 0},
		"PNG, all there":           {pngOf(20000, 1000, 0, zeros(20_001_000)), "", 0},
		"PNG, less than said":      {pngOf(30000, 1000, 0, append(zeros(20_010_000), make([]byte, 20_000)...)), "cut off: 666 of 1000", 0},
		"PNG of nothing":           {pngOf(90000, 5000, 0, zeros(100)), "more than the data can hold", 0},
		"PNG of nothing, in woven": {pngOf(90000, 5000, 1, zeros(100)), "more than the data can hold", 0},
		"PNG of 16 bits, in woven": {craft.Join(wide, chunk("IDAT", make([]byte, 4_000_000)), chunk("IEND", nil)), "of an interlaced PNG", 0},
		"PNG of many packed texts": {texts, "", 200 << 20},
		"JPEG":                     {craft.JPEG(0xC0, 65000, 7000, 100), "more than the data can hold", 0},
		"progressive JPEG":         {craft.JPEG(0xC2, 65000, 7000, 100), "more than is read", 0},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		p, err := finished.Open(bytes.NewReader(c.b), int64(len(c.b)))
		if err == nil {
			err = p.Rows(context.Background(), func(int, []uint16) error { return nil })
		}
		runtime.ReadMemStats(&after)
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
		if took := after.TotalAlloc - before.TotalAlloc; took > cmp.Or(c.most, 3<<20) {
			t.Errorf("%s: %d KB for %d bytes", name, took>>10, len(c.b))
		}
	}
}

// Panoramas of 30,000 pixels are pictures like others.
func TestPanoramas(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 30000, 40))
	for i := range m.Pix {
		m.Pix[i] = byte(i / 300)
	}
	var j, p bytes.Buffer
	if err := errors.Join(jpeg.Encode(&j, m, nil), png.Encode(&p, m)); err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string][]byte{"JPEG": j.Bytes(), "PNG": p.Bytes(), "TIFF": packedTIFF(30000, 40, 1, m.Pix, false)} {
		if got := mustRows(t, b); len(got) != 30000*40 || name != "JPEG" && got[29999] != uint16(m.Pix[29999])*257 {
			t.Errorf("%s: %d samples", name, len(got))
		}
	}
}

// The smallest picture, and an empty one.
func TestSmallest(t *testing.T) {
	if got := mustRows(t, packedTIFF(1, 1, 1, []byte{9}, false)); len(got) != 1 || got[0] != 9*257 {
		t.Error(got)
	}
	for _, b := range [][]byte{nil, {0xFF}, []byte("II*\x00"), packedTIFF(0, 1, 1, nil, false), header(0, 5, 0), craft.JPEG(0xC0, 0, 5, 10)} {
		if p, err := finished.Open(bytes.NewReader(b), int64(len(b))); err == nil || p != nil {
			t.Errorf("%x: no error", b[:min(len(b), 8)])
		}
	}
}

// Whoever takes the rows may end it, and so may a context; a device that fails is
// named as such.
func TestRowsEnd(t *testing.T) {
	stop := errors.New("enough")
	tif := baseTIFF(binary.LittleEndian, 8, 6, 3, 8, 2, scene(8, 6, 3, 8))
	files := map[string][]byte{"TIFF": tif, "PNG": plainPNG(t)}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewRGBA(image.Rect(0, 0, 20, 20)), nil); err != nil {
		t.Fatal(err)
	}
	files["JPEG"] = b.Bytes()
	for name, b := range files {
		p := open(t, b)
		if err := p.Rows(context.Background(), func(y int, _ []uint16) error {
			if y == 2 {
				return stop
			}
			return nil
		}); err != stop {
			t.Errorf("%s: %v", name, err)
		}
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		if err := p.Rows(ctx, func(int, []uint16) error { return nil }); !errors.Is(err, context.Canceled) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, ok, err := open(t, tif).Planes(context.Background()); ok || err != nil {
		t.Errorf("planes of a TIFF: %v, %v", ok, err)
	}
	_, err := finished.Open(&craft.Broken{R: bytes.NewReader(tif), From: 100}, int64(len(tif)))
	if !errors.Is(err, craft.ErrDevice) {
		t.Errorf("a device that fails: %v", err)
	}
}
