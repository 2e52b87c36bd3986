package raw_test

import (
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"testing"

	"garner/preview/internal/craft"
	"garner/preview/raw"
)

// heifItem is an item of a HEIF file made for a test.
type heifItem struct {
	id    uint16
	typ   string // with its name, and for "mime" the content type
	data  []byte
	props []byte // numbers of its properties
	of    uint16 // the item that it describes; 0 = none
}

// heifFile writes the items' data into mdat, the tables into meta.
func heifFile(brand string, primary uint16, properties [][]byte, items ...heifItem) []byte {
	ftyp := craft.Box("ftyp", []byte(brand), craft.U32(0), []byte("mif1"), []byte(brand))
	build := func(at uint32) []byte {
		var infe, iloc, ipma, iref [][]byte
		for _, it := range items {
			infe = append(infe, craft.FullBox("infe", 2, 0, craft.U16(it.id, 0), []byte(it.typ)))
			iloc = append(iloc, craft.U16(it.id, 0, 1), craft.U32(at, uint32(len(it.data))))
			ipma = append(ipma, craft.U16(it.id), []byte{byte(len(it.props))}, it.props)
			at += uint32(len(it.data))
			if it.of != 0 {
				iref = append(iref, craft.Box("cdsc", craft.U16(it.id, 1, it.of)))
			}
		}
		n := uint16(len(items))
		return craft.FullBox("meta", 0, 0,
			craft.FullBox("pitm", 0, 0, craft.U16(primary)),
			craft.FullBox("iinf", 0, 0, craft.U16(n), craft.Join(infe...)),
			craft.Box("iprp", craft.Box("ipco", properties...), craft.FullBox("ipma", 0, 0, craft.U32(uint32(n)), craft.Join(ipma...))),
			craft.FullBox("iref", 0, 0, iref...),
			craft.FullBox("iloc", 0, 0, craft.U16(0x4400, n), craft.Join(iloc...)))
	}
	var data [][]byte
	for _, it := range items {
		data = append(data, it.data)
	}
	start := len(ftyp) + len(build(0)) + 8
	return craft.Join(ftyp, build(uint32(start)), craft.Box("mdat", data...))
}

func ispe(w, h uint32) []byte { return craft.FullBox("ispe", 0, 0, craft.U32(w, h)) }

// exifItem is a TIFF structure with n bytes between the length field and it.
func exifItem(between string, orientation uint16) []byte {
	thumb := craft.JPEG(sof0, 160, 120, 100)
	b := craft.NewTIFF(binary.BigEndian)
	at := b.Blob(thumb)
	ifd1 := b.IFD(0, b.Long(0x0201, at), b.Long(0x0202, uint32(len(thumb))))
	ex := b.IFD(0, b.Text(0x9003, "2024:05:06 07:08:09"), b.Long(0xA002, 1), b.Long(0xA003, 1))
	tiff := b.Bytes(b.IFD(ifd1, b.Text(0x0110, "X-H2"), b.Short(0x0112, orientation), b.Long(0x8769, ex)))
	return craft.Join(craft.U32(uint32(len(between))), []byte(between), tiff)
}

// Where the Exif item's TIFF header lies: ISO/IEC 23008-12 §A.2.1.
func TestHEIFMetadataAndPreviews(t *testing.T) {
	jpeg := craft.JPEG(sof0, 1616, 1080, 500)
	for _, between := range []string{"", "Exif\x00\x00", "some bytes"} {
		f, err := located(t, heifFile("heix", 1, [][]byte{ispe(6192, 4128), craft.Box("irot", []byte{3})},
			heifItem{1, "hvc1\x00", make([]byte, 50), []byte{0x81, 0x82}, 0},
			heifItem{2, "jpeg\x00", jpeg, nil, 0},
			heifItem{3, "Exif\x00", exifItem(between, 1), nil, 0},
			heifItem{4, "mime\x00application/rdf+xml\x00", []byte(`<a xmp:Rating="4"/>`), nil, 0},
		))
		if err != nil {
			t.Fatal(err)
		}
		whole, cut := spots(f)
		if f.Kind != "HEIF" || len(whole) != 2 || cut != nil || whole[0].width != 1616 || whole[0].length != int64(len(jpeg)) || whole[1].width != 160 {
			t.Errorf("%q: %s %v, %v", between, f.Kind, whole, cut)
		}
		m := f.Meta
		if m.Model != "X-H2" || m.Orientation != 6 || m.Width != 6192 || m.Height != 4128 || m.Rating != 4 || m.Taken.Wall.Year() != 2024 {
			t.Errorf("%q: %+v", between, m)
		}
		holdProblem(t, f, "", "")
	}
}

// ISO/IEC 23008-12:2022 §6.5.12 names Exif 4 for axis 0 and 2 for axis 1; §6.5.10
// counts quarter turns anticlockwise. Of the mixtures, 5 is the mirror image about
// the diagonal from the upper left, 7 about the other one (Exif §4.6.4).
func TestHEIFOrientation(t *testing.T) {
	rot := func(n byte) []byte { return craft.Box("irot", []byte{n}) }
	mir := func(n byte) []byte { return craft.Box("imir", []byte{n}) }
	for _, c := range []struct {
		name  string
		props [][]byte
		want  int
	}{
		{"none", nil, 1},
		{"turn 0", [][]byte{rot(0)}, 1},
		{"turn 90 anticlockwise", [][]byte{rot(1)}, 8},
		{"turn 180", [][]byte{rot(2)}, 3},
		{"turn 270 anticlockwise", [][]byte{rot(3)}, 6},
		{"reserved bits", [][]byte{rot(0xFD)}, 8},
		{"top and bottom", [][]byte{mir(0)}, 4},
		{"left and right", [][]byte{mir(1)}, 2},
		{"turn 90, then top and bottom", [][]byte{rot(1), mir(0)}, 5},
		{"turn 90, then left and right", [][]byte{rot(1), mir(1)}, 7},
		{"turn 270, then left and right", [][]byte{rot(3), mir(1)}, 5},
		{"turn 270, then top and bottom", [][]byte{rot(3), mir(0)}, 7},
		{"turn 180, then left and right", [][]byte{rot(2), mir(1)}, 4},
		{"left and right, then turn 90", [][]byte{mir(1), rot(1)}, 5},
		{"empty", [][]byte{craft.Box("irot"), craft.Box("imir")}, 1},
	} {
		var numbers []byte
		for i := range c.props {
			numbers = append(numbers, byte(i+1))
		}
		// The Exif orientation only repeats what the properties say, so it loses.
		f, err := located(t, heifFile("heic", 1, c.props, heifItem{1, "hvc1\x00", nil, numbers, 0}, heifItem{2, "Exif\x00", exifItem("", 3), nil, 0}))
		if err != nil {
			t.Fatal(err)
		}
		if f.Meta.Orientation != c.want {
			t.Errorf("%s: orientation %d, want %d", c.name, f.Meta.Orientation, c.want)
		}
	}
	f, err := located(t, heifFile("heic", 9, nil, heifItem{1, "hvc1\x00", nil, nil, 0}, heifItem{2, "Exif\x00", exifItem("", 3), nil, 0}))
	if err != nil || f.Meta.Orientation != 3 {
		t.Errorf("without a primary item: %+v, %v", f, err)
	}
}

func TestHEIFDamage(t *testing.T) {
	ftyp := craft.Box("ftyp", []byte("heic"), craft.U32(0), []byte("mif1"))
	for _, c := range []struct {
		name       string
		data       []byte
		code, says string
	}{
		{"no meta box", ftyp, raw.ProblemBadContainer, "no meta box"},
		{"nothing but HEVC", heifFile("heic", 1, nil, heifItem{1, "hvc1\x00", make([]byte, 9), nil, 0}), raw.ProblemNoPreview, "HEVC, which is not decoded"},
		{"JPEG item of other bytes", heifFile("heic", 1, nil, heifItem{1, "jpeg\x00", make([]byte, 90), nil, 0}), raw.ProblemNotJPEG, "JPEG item"},
		{"JPEG item without its tables", heifFile("heic", 1, [][]byte{craft.Box("jpgC")}, heifItem{1, "jpeg\x00", make([]byte, 90), []byte{1}, 0}), raw.ProblemNoPreview, "no whole"},
		{"size 0xFFFFFFFF", heifFile("heic", 1, [][]byte{ispe(0xFFFFFFFF, 9)}, heifItem{1, "hvc1\x00", nil, []byte{1}, 0}), raw.ProblemNoPreview, ""},
		{"Exif item of two bytes", heifFile("heic", 1, nil, heifItem{1, "Exif\x00", []byte{0, 0}, nil, 0}), raw.ProblemBadPlace, "Exif item"},
		{"Exif header 4 GiB on", heifFile("heic", 1, nil, heifItem{1, "Exif\x00", craft.U32(0xFFFFFFFF, 0), nil, 0}), raw.ProblemBadPlace, "Exif item"},
		{"Exif item that is none", heifFile("heic", 1, nil, heifItem{1, "Exif\x00", []byte("\x00\x00\x00\x00hello, world"), nil, 0}), raw.ProblemBadContainer, "Exif item"},
		{"meta cut off", heifFile("heic", 1, nil, heifItem{1, "jpeg\x00", make([]byte, 90), nil, 0})[:100], raw.ProblemBadPlace, `box "meta" reaches past the end`},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := located(t, c.data)
			if err != nil {
				t.Fatal(err)
			}
			if f.Meta.Width != 0 {
				t.Errorf("%d pixels wide", f.Meta.Width)
			}
			holdProblem(t, f, c.code, c.says)
		})
	}
}

// What is an ISO base media file but no camera's still picture.
func TestOtherMedia(t *testing.T) {
	for _, c := range []struct{ major, compatible, says string }{
		{"avif", "mif1miaf", "AVIF"},
		{"mif1", "avifmiaf", "AVIF"},
		{"qt  ", "qt  ", `"qt  "`},
		{"isom", "mp42avc1", `"isom"`},
		{"\x1b[2J", "\x9b31m", `\x1b[2J`},
	} {
		var unsupported *raw.UnsupportedError
		_, err := located(t, craft.Join(craft.Box("ftyp", []byte(c.major), craft.U32(0), []byte(c.compatible)), craft.Box("mdat", make([]byte, 40))))
		if !errors.As(err, &unsupported) || !strings.Contains(err.Error(), c.says) || strings.ContainsRune(err.Error(), 0x1b) {
			t.Errorf("%q: %v", c.major, err)
		}
	}
	var format *raw.FormatError
	if _, err := located(t, []byte("\x00\x00\x00\x05ftypheic")); !errors.As(err, &format) {
		t.Errorf("a first box of 5 bytes: %v", err)
	}
	// A brand of both kinds of pictures, as some writers give, is HEIF.
	f, err := located(t, craft.Box("ftyp", []byte("mif1"), craft.U32(0), []byte("heicavif")))
	if err != nil || f.Kind != "HEIF" {
		t.Errorf("%v, %v", f, err)
	}
}

// Files of two modules: sizes, orientation and the place of the JPEG item by
// looking at the bytes, metadata from exiftool.
func TestHEIFRealFiles(t *testing.T) {
	for _, c := range []struct {
		name                       string
		data                       []byte
		whole                      []spot
		width, height, orientation int
		model, when                string
	}{
		{"iphone.heic", cutModule(t, "iphone.heic"), nil, 5712, 4284, 1, "iPhone 15 Pro", "2026-02-19 14:22:37.146"},
		{"sony.heif", cutModule(t, "sony.heif"), []spot{{102400, 16384, 160, 120}}, 6192, 4128, 6, "ILCE-6700", "2026-02-04 15:13:47.362"},
		{"Heic.exif", wholeModule(t, "Heic.exif"), nil, 3648, 5472, 1, "Canon EOS 6D", "2019-12-06 05:01:47.44"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := located(t, c.data)
			if err != nil {
				t.Fatal(err)
			}
			m := f.Meta
			whole, cut := spots(f)
			if fmt.Sprint(whole) != fmt.Sprint(c.whole) || cut != nil {
				t.Errorf("%v, cut off %v", whole, cut)
			}
			if m.Width != c.width || m.Height != c.height || m.Orientation != c.orientation || m.Model != c.model {
				t.Errorf("%+v", m)
			}
			if got := m.Taken.Wall.Format("2006-01-02 15:04:05.999"); got != c.when {
				t.Errorf("taken %s, want %s", got, c.when)
			}
			if c.whole == nil {
				holdProblem(t, f, raw.ProblemNoPreview, "HEVC, which is not decoded")
			}
		})
	}
	// The first of two packets, and no picture at all.
	f, err := located(t, cutModule(t, "multi-xmp.heic"))
	if err != nil || f.XMP != (raw.Segment{Offset: 240, Length: 234}) || len(f.Previews) != 0 {
		t.Errorf("%+v, %v", f, err)
	}
	for _, name := range []string{"AVIF.avif", "AVIF2.avif"} {
		var unsupported *raw.UnsupportedError
		if _, err := located(t, wholeModule(t, name)); !errors.As(err, &unsupported) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A file of several pictures has metadata for each (ISO/IEC 23008-12 Annex A): what
// describes the primary one counts, wherever it stands in the list.
func TestHEIFMetadataOfThePrimaryItem(t *testing.T) {
	for primary, want := range map[uint16]int{1: 3, 2: 4} {
		f, err := located(t, heifFile("heic", 9, nil,
			heifItem{1, "hvc1\x00", nil, nil, 0}, heifItem{2, "hvc1\x00", nil, nil, 0}, heifItem{3, "Exif\x00", exifItem("", 3), nil, 1}, heifItem{4, "Exif\x00", exifItem("", 8), nil, 2}))
		if err != nil || f.Meta.Orientation != 3 {
			t.Errorf("no primary item: %+v, %v", f, err)
		}
		packet := func(n string) []byte { return []byte(`<a xmp:Rating="` + n + `"/>`) }
		f, err = located(t, heifFile("heic", primary, nil,
			heifItem{1, "hvc1\x00", nil, nil, 0}, heifItem{2, "hvc1\x00", nil, nil, 0},
			heifItem{3, "mime\x00application/rdf+xml\x00", packet("3"), nil, 1}, heifItem{4, "mime\x00application/rdf+xml\x00", packet("4"), nil, 2}))
		if err != nil || f.Meta.Rating != want {
			t.Errorf("primary item %d: rating %d, want %d, %v", primary, f.Meta.Rating, want, err)
		}
	}
}
