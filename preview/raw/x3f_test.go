package raw_test

import (
	"encoding/binary"
	"math"
	"path/filepath"
	"testing"
	"time"
	"unicode/utf16"

	"garner/preview/internal/craft"
	"garner/preview/raw"
	"garner/testdata/testneed"
)

func le32(vs ...uint32) (b []byte) {
	for _, v := range vs {
		b = binary.LittleEndian.AppendUint32(b, v)
	}
	return b
}

// x3fSection is a section with its type in the directory.
type x3fSection struct {
	typ  string
	data []byte
}

func x3fImage(format uint32, data []byte) []byte {
	return craft.Join([]byte("SECi"), le32(0x20000, 2, format, 640, 480, 0), data)
}

// x3fProps is a section of properties, as UTF-16.
func x3fProps(pairs ...string) []byte {
	var places, text []byte
	chars := uint32(0)
	for _, s := range pairs {
		places = append(places, le32(chars)...)
		for _, u := range append(utf16.Encode([]rune(s)), 0) {
			text = binary.LittleEndian.AppendUint16(text, u)
			chars++
		}
	}
	return craft.Join([]byte("SECp"), le32(0x20000, uint32(len(pairs)/2), 0, 0, chars), places, text)
}

// x3fFile has a header of version 2 or 4, the sections, and the directory whose
// place stands in the last four bytes.
func x3fFile(major, rotation uint32, sections ...x3fSection) []byte {
	out := craft.Join([]byte("FOVb"), le32(major<<16), make([]byte, 96))
	at := 28
	if major >= 4 {
		at = 40
	}
	copy(out[at:], le32(2640, 1760, rotation))
	var entries []byte
	for _, s := range sections {
		entries = craft.Join(entries, le32(uint32(len(out)), uint32(len(s.data))), []byte(s.typ))
		out = append(out, s.data...)
	}
	dir := uint32(len(out))
	return craft.Join(out, []byte("SECd"), le32(0x20000, uint32(len(sections))), entries, le32(dir))
}

func TestX3F(t *testing.T) {
	full, small := exifJPEG(2640, 1760), craft.JPEG(sof0, 640, 480, 200)
	f, err := located(t, x3fFile(2, 90,
		x3fSection{"IMA2", x3fImage(11, make([]byte, 300))}, // not a JPEG
		x3fSection{"IMA2", x3fImage(18, small)},
		x3fSection{"IMA2", x3fImage(18, full)},
		x3fSection{"PROP", x3fProps("CAMSERIAL", "01008382", "TIME", "1", "CAMMANUF", "SIGMA")},
	))
	if err != nil {
		t.Fatal(err)
	}
	whole, cut := spots(f)
	fullAt := int64(104 + 28 + 300 + 28 + len(small) + 28)
	if f.Kind != "X3F" || len(whole) != 3 || whole[0] != (spot{fullAt, int64(len(full)), 2640, 1760}) || whole[1].width != 640 || cut != nil {
		t.Errorf("%s %v, %v", f.Kind, whole, cut)
	}
	m := f.Meta
	// What the JPEG's Exif says comes before the header and the properties.
	if m.Width != 2640 || m.Orientation != 6 || m.Taken.Wall.Year() != 2019 || m.Make != "FUJIFILM" || m.Serial != "01008382" {
		t.Errorf("%+v", m)
	}
	holdProblem(t, f, "", "")
}

// The oldest bodies have no Exif. Names and units of the properties are those of
// the reference reader exiftool; the degrees count clockwise (common practice).
func TestX3FProperties(t *testing.T) {
	for rotation, want := range map[uint32]int{0: 1, 90: 6, 180: 3, 270: 8, 45: 0} {
		for _, major := range []uint32{2, 4} {
			f, err := located(t, x3fFile(major, rotation, x3fSection{"PROP", x3fProps(
				"CAMMANUF", "SIGMA", "CAMMODEL", "SIGMA SD9", "CAMSERIAL", "01001234", "FIRMVERS", "1.2", "TIME", "1043150400",
				"SHUTTER", "0.00800", "APERTURE", "5.60000", "ISO", "200", "EXPCOMP", "-0.33", "FLENGTH", "24.2")}))
			if err != nil {
				t.Fatal(err)
			}
			m := f.Meta
			if m.Orientation != want || m.Width != 2640 || m.Height != 1760 {
				t.Errorf("version %d, %d degrees: orientation %d, %dx%d", major, rotation, m.Orientation, m.Width, m.Height)
			}
			if m.Make != "SIGMA" || m.Model != "SIGMA SD9" || m.Serial != "01001234" || m.Software != "1.2" || m.ISO != 200 ||
				m.Seconds != 0.008 || m.FNumber != 5.6 || m.FocalLength != 24.2 || m.Bias == nil || *m.Bias != -0.33 {
				t.Errorf("%+v", m)
			}
			if want := time.Date(2003, 1, 21, 12, 0, 0, 0, time.UTC); !m.Taken.Wall.Equal(want) {
				t.Errorf("taken %v", m.Taken.Wall)
			}
		}
	}
	f, err := located(t, x3fFile(2, 0, x3fSection{"PROP", x3fProps("ISO", "-5", "SHUTTER", "NaN", "APERTURE", "1e99", "EXPCOMP", "inf", "TIME", "x")}))
	if err != nil {
		t.Fatal(err)
	}
	if m := f.Meta; m.ISO != 0 || m.Seconds != 0 || m.FNumber != 0 || m.Bias != nil || m.Taken.Known() {
		t.Errorf("numbers that are none: %+v", m)
	}
}

func TestX3FDamage(t *testing.T) {
	small := craft.JPEG(sof0, 640, 480, 200)
	good := x3fFile(2, 0, x3fSection{"IMA2", x3fImage(18, small)})
	tail := func(v uint32) []byte { return craft.Join(good[:len(good)-4], le32(v)) }
	section := func(off, length uint32) []byte { // a directory of one made-up entry
		out := craft.Join([]byte("FOVb"), make([]byte, 100))
		return craft.Join(out, []byte("SECd"), le32(0, 1, off, length), []byte("IMA2"), le32(uint32(len(out))))
	}
	for _, c := range []struct {
		name       string
		data       []byte
		code, says string
	}{
		{"magic alone", []byte("FOVb"), raw.ProblemBadPlace, "header is cut off"},
		{"end cut off", good[:len(good)-10], raw.ProblemBadPlace, "directory"},
		{"directory past the end", tail(math.MaxUint32), raw.ProblemBadPlace, "directory"},
		{"directory is none", tail(0), raw.ProblemBadContainer, "directory"},
		{"4,294,967,295 sections", craft.Join(make([]byte, 0), good[:104], []byte("SECd"), le32(0, math.MaxUint32, 104)), raw.ProblemTooMuch, "sections"},
		{"section past the end", section(math.MaxUint32, 99), raw.ProblemBadPlace, "image section"},
		{"section of 4 GiB", craft.Join(good[:8+24], le32(0), x3fAt(good, math.MaxUint32)), raw.ProblemCutOff, "image section"},
		{"section is the header", section(0, 99), raw.ProblemNoPreview, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := located(t, c.data)
			if err != nil {
				t.Fatal(err)
			}
			holdProblem(t, f, c.code, c.says)
		})
	}
	for _, props := range [][]byte{
		[]byte("SECp"), craft.Join([]byte("SECp"), le32(0, math.MaxUint32, 0, 0, 0)),
		craft.Join([]byte("SECp"), le32(0, 1, 0, 0, 0, math.MaxUint32, math.MaxUint32)),
		craft.Join([]byte("SECp"), le32(0, 1, 7, 0, 0, 0, 0)),
	} {
		if f, err := located(t, x3fFile(2, 0, x3fSection{"PROP", props})); err != nil || f.Meta.Model != "" {
			t.Errorf("%q: %+v, %v", props, f, err)
		}
	}
}

// x3fAt is the rest of a file from byte 36, with the length of its one section
// changed.
func x3fAt(good []byte, length uint32) []byte {
	rest := append([]byte(nil), good[36:]...)
	copy(rest[len(rest)-12:], le32(length))
	return rest
}

// The bytes at 292 and the thumbnail of two stub JPEGs that are none.
func TestX3FSample(t *testing.T) {
	e := expected{"SigmaDP2.x3f", "X3F", []spot{{292, 2676, 8, 8}}, nil, raw.ProblemNotJPEG}
	e.hold(t, sample(t, filepath.Join(testneed.Samples(t), "raw", e.name)))
}
