package raw_test

import (
	"encoding/binary"
	"fmt"
	"strings"
	"testing"

	"garner/preview/exif"
	"garner/preview/internal/craft"
	"garner/preview/raw"
)

// thumbed is a TIFF structure with a thumbnail in IFD1, and where it lies in it.
func thumbed(main func(b *craft.TIFF) []craft.Field) (tiff, thumb []byte, at uint32) {
	b := craft.NewTIFF(binary.BigEndian)
	thumb = craft.JPEG(sof0, 160, 120, 300)
	at = b.Blob(thumb)
	ifd1 := b.IFD(0, pointer(b, spot{int64(at), int64(len(thumb)), 0, 0})...)
	return b.Bytes(b.IFD(ifd1, main(b)...)), thumb, at
}

func TestJPEGFile(t *testing.T) {
	tiff, thumb, at := thumbed(func(b *craft.TIFF) []craft.Field {
		ex := b.IFD(0, b.Text(0x9003, "2022:10:02 17:37:26"), b.Short(0x9214, 1500, 1000, 200, 100), b.Long(0xA002, 12000), b.Long(0xA003, 8000))
		return []craft.Field{b.Short(0x0112, 8), b.Text(0x010F, "NIKON CORPORATION"), b.Text(0x0110, "NIKON D850"), b.Long(0x8769, ex)}
	})
	packet := `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:Description xmp:Rating="3"/></x:xmpmeta>`
	data := craft.JPEG(sof0, 6000, 4000, 2000, craft.Exif(tiff), craft.XMP(packet))
	f, err := located(t, data)
	if err != nil {
		t.Fatal(err)
	}
	const exifAt = 2 + 4 + 6
	whole, cut := spots(f)
	want := []spot{{0, int64(len(data)), 6000, 4000}, {exifAt + int64(at), int64(len(thumb)), 160, 120}}
	if f.Kind != "JPEG" || fmt.Sprint(whole) != fmt.Sprint(want) || cut != nil || len(f.Problems) != 0 {
		t.Errorf("%s %v %v, want %v; %v", f.Kind, whole, cut, want, f.Problems)
	}
	m := f.Meta
	if m.Orientation != 8 || m.Rating != 3 || m.Subject != (exif.Area{X: 750, Y: 500, W: 100, H: 50, Given: true}) {
		t.Errorf("%+v", m)
	}
	if m.Width != 6000 || m.Height != 4000 {
		t.Errorf("%dx%d: an edited picture's own header counts, not its Exif", m.Width, m.Height)
	}
	if got := string(data[f.XMP.Offset : f.XMP.Offset+f.XMP.Length]); got != packet {
		t.Errorf("packet %q", got)
	}
}

// CIPA DC-007 §5.2.3.3: type 0x010001 and 0x010002 are large thumbnails, 0x020002
// is a disparity image, 0 is not said.
func TestMultiPictureIndex(t *testing.T) {
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		second, depth := craft.JPEG(sof0, 1920, 1080, 400), craft.JPEG(sof0, 640, 480, 100)
		index := func(o1, o2, o3 uint32) []byte {
			b := craft.NewTIFF(order)
			var entries []byte
			for _, e := range []struct{ attr, size, off uint32 }{
				{0x20030000, 5000, 0}, {0x00010002, uint32(len(second)), o1}, {0x00020002, uint32(len(depth)), o2}, {0, uint32(len(depth)), o3},
			} {
				entries = append(entries, b.Long(0, e.attr, e.size, e.off, 0).Data...)
			}
			return b.Bytes(b.IFD(0, b.Undefined(0xB000, []byte("0100")), b.Long(0xB001, 4), b.Undefined(0xB002, entries)))
		}
		const base = 2 + 4 + 4 // SOI, marker and length, "MPF\0"
		first := craft.JPEG(sof0, 6000, 4000, 1000, craft.MPF(index(0, 0, 0)))
		o1, o2 := len(first), len(first)+len(second)
		data := craft.JPEG(sof0, 6000, 4000, 1000, craft.MPF(index(uint32(o1-base), uint32(o2-base), uint32(o2-base))))
		data = append(append(data, second...), depth...)
		f, err := located(t, data)
		if err != nil {
			t.Fatal(err)
		}
		whole, _ := spots(f)
		want := []spot{{0, int64(len(data)), 6000, 4000}, {int64(o1), int64(len(second)), 1920, 1080}}
		if fmt.Sprint(whole) != fmt.Sprint(want) {
			t.Errorf("%v: %v, want %v", order, whole, want)
		}
	}
}

func TestDamagedJPEGFile(t *testing.T) {
	good := craft.JPEG(sof0, 6000, 4000, 100)
	looped := func() []byte {
		b := craft.NewTIFF(binary.LittleEndian)
		return b.Bytes(b.IFD(b.Len(), b.Short(0x0112, 6)))
	}()
	for _, c := range []struct {
		name string
		data []byte
		code string
		n    int // whole previews
	}{
		{"cut before the frame header", good[:6], raw.ProblemNoPreview, 0},
		{"zeros behind SOI", append([]byte{0xFF, 0xD8, 0xFF}, make([]byte, 100)...), raw.ProblemNotJPEG, 0},
		{"lossless", craft.JPEG(0xC3, 600, 400, 9), raw.ProblemNoPreview, 0},
		{"Exif that is none", craft.JPEG(sof0, 600, 400, 9, craft.Exif([]byte("no structure here"))), raw.ProblemBadContainer, 1},
		{"Exif that is cut", craft.JPEG(sof0, 600, 400, 9, craft.Exif([]byte("II*\x00\xFF\x00\x00\x00"))), raw.ProblemBadPlace, 1},
		{"Exif that loops", craft.JPEG(sof0, 600, 400, 9, craft.Exif(looped)), raw.ProblemLoop, 1},
		{"index that is none", craft.JPEG(sof0, 600, 400, 9, craft.MPF([]byte("no index here"))), raw.ProblemBadContainer, 1},
	} {
		f, err := located(t, c.data)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if whole, _ := spots(f); len(whole) != c.n || !has(f, c.code) {
			t.Errorf("%s: %v, %+v; want %d and %s", c.name, whole, f.Problems, c.n, c.code)
		}
	}
}

// XMP Part 1 §8.4: -1 to 5, a Real; §7.4: as attribute or as element.
func TestRatingInThePacket(t *testing.T) {
	for in, want := range map[string]int{
		`xmp:Rating="4"`: 4, `xmp:Rating='4'`: 4, `xmp:Rating = "2"`: 2, `<xmp:Rating>5</xmp:Rating>`: 5,
		"<xmp:Rating>\n 1 \n</xmp:Rating>": 1, `xmp:Rating="-1"`: -1, `<xmp:Rating>-1</xmp:Rating>`: -1,
		`xmp:Rating="3.0"`: 3, `xmp:Rating="+3"`: 3, `xmp:Rating="0"`: 0, `xmp:Rating="6"`: 0, `xmp:Rating="-2"`: 0,
		`xmp:Rating="12"`: 0, `xmp:Rating="-12"`: 0, `xmp:Rating="x"`: 0, `xmp:Rating=""`: 0, `xmp:Rating="`: 0, `xmp:Rating`: 0,
		`xmp:RatingDate="5" xmp:Rating="2"`: 2, `xmp:Label="3"`: 0,
		strings.Repeat(" ", 5000) + `xmp:Rating="4"`: 4,
	} {
		f, err := located(t, craft.JPEG(sof0, 600, 400, 9, craft.XMP(in)))
		if err != nil {
			t.Fatal(err)
		}
		if f.Meta.Rating != want {
			t.Errorf("%.40q: %d, want %d", in, f.Meta.Rating, want)
		}
	}
	tiff, _, _ := thumbed(func(b *craft.TIFF) []craft.Field { return []craft.Field{b.Short(0x4746, 2)} })
	f, err := located(t, craft.JPEG(sof0, 600, 400, 9, craft.Exif(tiff), craft.XMP(`xmp:Rating="5"`)))
	if err != nil || f.Meta.Rating != 2 {
		t.Errorf("Exif says 2, the packet 5: %d, %v", f.Meta.Rating, err)
	}
}
