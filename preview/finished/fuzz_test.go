package finished_test

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"slices"
	"testing"

	"garner/preview/finished"
	"garner/preview/internal/craft"
)

// seeds are small pictures of each format that need no tool.
func seeds(f *testing.F) [][]byte {
	var out [][]byte
	add := func(err error, b *bytes.Buffer) {
		if err != nil {
			f.Fatal(err)
		}
		out = append(out, bytes.Clone(b.Bytes()))
		b.Reset()
	}
	var b bytes.Buffer
	r := image.Rect(0, 0, 13, 9)
	px := scene(13, 9, 4, 8)
	for _, m := range []image.Image{
		&image.NRGBA{Pix: bytesOf(px), Stride: 52, Rect: r}, &image.Gray{Pix: bytesOf(px), Stride: 13, Rect: r}, image.NewNRGBA64(r), image.NewGray16(r),
		&image.Paletted{Pix: make([]byte, 13*9), Stride: 13, Rect: r, Palette: color.Palette{color.White, color.NRGBA{9, 8, 7, 100}}},
	} {
		add(png.Encode(&b, m), &b)
		add(jpeg.Encode(&b, m, nil), &b)
	}
	for _, t := range [][3]int{{1, 8, 1}, {3, 16, 2}, {4, 8, 5}} {
		out = append(out, baseTIFF(binary.BigEndian, 13, 9, t[0], t[1], t[2], scene(13, 9, t[0], t[1])),
			planarTIFF(binary.LittleEndian, 13, 9, t[0], t[1], t[2], scene(13, 9, t[0], t[1])))
	}
	for _, coding := range []uint16{5, 8, 32773} {
		c := craft.NewTIFF(binary.LittleEndian)
		data := map[uint16][]byte{5: {0x80, 0x01, 0x80, 0x80}, 8: {0x78, 0x9C, 0x63, 0x60, 0, 0, 0, 2, 0, 1}, 32773: {0xF1, 7, 0x03, 1, 2, 3, 4}}[coding]
		at := c.Blob(data)
		out = append(out, c.Bytes(c.IFD(0, c.Long(256, 13), c.Long(257, 1), c.Short(258, 8), c.Short(259, coding), c.Short(262, 1), c.Short(277, 1),
			c.Short(317, 2), c.Short(322, 16), c.Short(323, 16), c.Long(324, at), c.Long(325, uint32(len(data))))))
	}
	c := craft.NewTIFF(binary.LittleEndian)
	shot := c.IFD(0, c.Rational(0x829A, 1, 200), c.Short(0x8827, 400), c.Text(0xA431, "1001"), c.Undefined(0x927C, make([]byte, 20)))
	place := c.IFD(0, c.Text(1, "N"), c.Rational(2, 47, 1, 3, 1, 0, 1))
	at := c.Blob(make([]byte, 12))
	out = append(out, c.Bytes(c.IFD(0, c.Long(256, 4), c.Long(257, 3), c.Short(258, 8), c.Short(262, 1), c.Text(0x010F, "Lumora"), c.Long(273, at),
		c.Long(0x8769, shot), c.Long(0x8825, place))))
	return append(out, craft.JPEG(0xC0, 13, 9, 40, craft.XMP("<x:xmpmeta/>")))
}

func bytesOf(px []uint16) []byte {
	b := make([]byte, len(px))
	for i, v := range px {
		b[i] = byte(v)
	}
	return b
}

// FuzzOpen: no panic; no picture beside an error; sizes within the limits; rows in
// order, as wide as they have to be, all of them where there is no error, and the same
// a second time.
func FuzzOpen(f *testing.F) {
	for _, s := range seeds(f) {
		f.Add(s)
		f.Add(s[:len(s)*3/4])
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := finished.Open(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			if p != nil || err.Error() == "" {
				t.Fatalf("a picture beside an error: %v", err)
			}
			return
		}
		if p.Width < 1 || p.Height < 1 || p.Orientation < 1 || p.Orientation > 8 || p.Bits < 1 || p.Bits > 16 {
			t.Fatalf("%+v", p)
		}
		if n := p.Channels(); n != 1 && n != 3 && n != 4 || p.Memory() < int64(2*n*p.Width) {
			t.Fatalf("%d channels, %d bytes of memory", n, p.Memory())
		}
		if p.Format == finished.TIFF && p.Exif != nil {
			j := craft.JPEG(0xC0, 13, 9, 40, craft.Exif(p.Exif)) // which takes no more than 64 KiB
			if q, err := finished.Open(bytes.NewReader(j), int64(len(j))); err != nil || q.Remarks != nil || q.Exif == nil {
				t.Fatalf("Exif of %d bytes that cannot be read again: %v, %+v", len(p.Exif), err, q)
			}
		}
		if p.Width*p.Height > 1e5 {
			t.Skip("too large to be quick")
		}
		got, err := rowsOf(p)
		again, twice := rowsOf(p)
		if (err == nil) != (twice == nil) || !slices.Equal(got, again) {
			t.Fatalf("a second time otherwise: %v, %v", err, twice)
		}
	})
}

// FuzzMeta: what says where a picture comes from, as fields of a JPEG.
func FuzzMeta(f *testing.F) {
	t := craft.NewTIFF(binary.BigEndian)
	gps := t.IFD(0, t.Rational(2, 47, 1, 3, 1, 0, 1))
	exif := t.Bytes(t.IFD(0, t.Text(0x010E, "caption"), t.Text(0x8298, " \x00editor"), t.Long(0x8825, gps)))
	iptc := []byte("8BIM\x04\x04\x00\x00\x00\x00\x00\x0C\x1C\x02\x78\x00\x07caption")
	f.Add(exif, []byte(`<r:RDF xmlns:r="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><r:Description r:about="" xmlns:d="http://purl.org/dc/elements/1.1/" d:source="a"/></r:RDF>`), iptc)
	f.Fuzz(func(t *testing.T, exif, packet, resources []byte) {
		if len(exif)+len(packet)+len(resources) > 60_000 {
			t.Skip()
		}
		b := craft.JPEG(0xC0, 13, 9, 40, craft.Exif(exif), craft.XMP(string(packet)), craft.Segment(0xED, append(make([]byte, 14), resources...)))
		p, err := finished.Open(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			t.Fatalf("what is beside the picture made it unreadable: %v", err)
		}
		for _, s := range p.Meta.SourceNames {
			if s == "" || bytes.ContainsAny([]byte(s), `/\`) {
				t.Fatalf("a name with folders: %q", s)
			}
		}
	})
}
