package imprint

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/png"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"garner/preview/exif"
	"garner/preview/icc"
	"garner/preview/jpeg"
	"garner/preview/xmp"
)

// FuzzStampPNG gives any bytes as a PNG: a stamp that lies in the picture, or a
// sentence.
func FuzzStampPNG(f *testing.F) {
	grey := image.NewGray16(image.Rect(0, 0, 5, 3))
	palette := image.NewPaletted(image.Rect(0, 0, 4, 4), color.Palette{color.NRGBA{}, color.White, color.NRGBA{9, 8, 7, 100}})
	for i := range palette.Pix {
		palette.Pix[i] = byte(i % 3)
	}
	for _, m := range []image.Image{bars(white), grey, palette, image.NewNRGBA64(image.Rect(0, 0, 2, 9))} {
		var b bytes.Buffer
		if err := png.Encode(&b, m); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes(), uint16(60), uint16(40), uint8(0), uint8(30))
	}
	f.Fuzz(func(t *testing.T, file []byte, w, h uint16, corner, size uint8) {
		if c, err := png.DecodeConfig(bytes.NewReader(file)); err == nil && c.Width*c.Height > 1<<16 {
			return // large pictures cost time and show nothing more
		}
		width, height := 1+int(w)%300, 1+int(h)%300
		checkStamp(t, Stamp{Picture: file, Size: float64(size) / 255, Margin: 0.02, Opacity: 0.8, Corner: Corner(corner % 7)}, width, height)
	})
}

// FuzzStampFont gives any bytes as a font, and any text.
func FuzzStampFont(f *testing.F) {
	small := fewLetters("Grün 1", nil)
	f.Add(small, "Grün 1", uint16(60), uint16(40))
	f.Add(small[:4000], "a", uint16(60), uint16(40))
	f.Add([]byte("ttcf\x00\x01\x00\x00\x00\x00\x00\x01\x00\x00\x00\x10"), "a", uint16(6), uint16(4))
	f.Add([]byte("OTTO"), "\x00\xFF\u202E\u0301", uint16(1), uint16(1))
	f.Fuzz(func(t *testing.T, file []byte, text string, w, h uint16) {
		checkStamp(t, Stamp{Text: text, Font: file, Size: 0.3, Opacity: 0.8, Corner: Centre}, 1+int(w)%300, 1+int(h)%300)
	})
}

func checkStamp(t *testing.T, s Stamp, width, height int) {
	p, err := NewStamper(s)
	if err != nil {
		var say *StampError
		if !errors.As(err, &say) || p != nil || strings.ContainsAny(err.Error(), "\n\x00\x1B") || !utf8.ValidString(err.Error()) {
			t.Fatalf("%q", err)
		}
		return
	}
	m, err := p.Mark(width, height, icc.SpaceAdobeRGB)
	if err != nil {
		t.Fatal(err)
	}
	if b := m.Bounds(); !b.In(image.Rect(0, 0, width, height)) {
		t.Fatalf("stamp in %v of %dx%d", b, width, height)
	}
	a := stamped(m, width, height, 90)
	again, err := p.Mark(width, height, icc.SpaceAdobeRGB)
	if err != nil || !bytes.Equal(a, stamped(again, width, height, 90)) {
		t.Fatal("made twice, a stamp differs")
	}
}

// FuzzMeta writes any text and reads it back by our own XMP reader: as it was
// cleaned, whole, or refused in a sentence. What comes out is always a JPEG of the
// same picture.
func FuzzMeta(f *testing.F) {
	f.Add("caption", "©", "a]]>b", "&<>\"'", "kw", []byte{}, int64(1e18), uint8(3))
	f.Add("\x00\x01\x1B[31m\u202E\uFFFE\uFFFF\xFF\xC0", "\r\n\u2028", " ", "\t", "\n", camera(binary.LittleEndian), int64(-1), uint8(9))
	f.Add("", "", "", "", "", camera(binary.BigEndian), int64(0), uint8(0))
	f.Add("&", "", "", "", "", []byte("MM\x00\x2A\xFF\xFF\xFF\xFF"), int64(0), uint8(0))
	f.Add(strings.Repeat("\xF0\x9F\x98\x80", 510), strings.Repeat("é", 70), strings.Repeat("é", 20), "", strings.Repeat("日", 30), []byte("II\x2A\x00\x08\x00\x00\x00"), int64(0), uint8(0))
	m := picture(f, 16, 8, SheetOptions{})
	f.Fuzz(func(t *testing.T, caption, copyright, creator, credit, keyword string, camera []byte, at int64, digits uint8) {
		checkMeta(t, m, caption, copyright, creator, credit, keyword, camera, at, digits)
	})
}

// Long text, with the letters that take most room, is written or refused.
func TestLongText(t *testing.T) {
	m := picture(t, 16, 8, SheetOptions{})
	for _, letter := range []string{"x", "ü", "&", "日", "\xFF", "\x00", "\n", "😀"} {
		for _, n := range []int{1, 600, 2000, 10_000, 65_536} {
			s := strings.Repeat(letter, n)
			checkMeta(t, m, s, "", "", "", "", nil, 0, 0)
			checkMeta(t, m, "", s, "", "", "", nil, 0, 0)
			checkMeta(t, m, s, s, s, s, s, camera(binary.BigEndian), 1e18, 7)
		}
	}
}

func checkMeta(t *testing.T, m *jpeg.Image, caption, copyright, creator, credit, keyword string, camera []byte, at int64, digits uint8) {
	t.Helper()
	meta := Meta{Caption: caption, Copyright: copyright, Creator: creator, Credit: credit, Keywords: []string{keyword, "pass", keyword}, Strip: []string{"pass"},
		Exif: camera, KeepGPS: digits&1 != 0, KeepSerial: digits&2 != 0, Make: creator, Model: credit,
		Chain: Chain{DocumentID: copyright, InstanceID: credit}}
	if when := time.Unix(0, at).UTC(); when.Year() >= 1900 && when.Year() < 9999 {
		meta.Taken = exif.Time{Wall: when, Digits: int(digits % 12), Zone: int(at % 900), HasZone: digits&4 != 0}
	}
	o := Output{Quality: 70, Space: icc.Space(digits % 3), Profile: profileOf(150, "RGB "), Meta: meta}
	w, err := Write(m, o)
	if err != nil {
		var say *MetaError
		if !errors.As(err, &say) || w.Bytes != nil || !utf8.ValidString(err.Error()) {
			t.Fatal(err)
		}
		return
	}
	coded, err := jpeg.AppendEncode(nil, m, o.Quality)
	if err != nil || !bytes.HasSuffix(w.Bytes, coded[jfifEnd:]) {
		t.Fatal("the picture is another", err)
	}
	if p, err := icc.FromJPEG(w.Bytes); err != nil || !bytes.Equal(p, o.Profile) {
		t.Fatal("the profile is another", err)
	}
	d := document(t, w.Bytes)
	if got, _ := d.Get(xmp.NSPress, "Credit"); got != cleanLine(credit) {
		t.Fatalf("credit %q of %q", got, credit)
	}
	want := cleanLine(keyword)
	if got := strings.Join(d.Bag(xmp.NSDC, "subject"), "|"); got != want && want != "pass" {
		t.Fatalf("keywords %q of %q", got, keyword)
	}
	for _, p := range parts(t, w.Bytes) {
		if len(p.data) > 65533 {
			t.Fatal("a segment of more than there can be")
		}
		if data, ok := strings.CutPrefix(p.data, exifID); ok {
			checkDirectories(t, []byte(data))
		}
	}
}

// checkDirectories holds what exifBytes made to TIFF 6.0 §2: tags rise, values lie
// inside, at even places.
func checkDirectories(t *testing.T, b []byte) {
	t.Helper()
	var walk func(at int)
	walk = func(at int) {
		last := -1
		for i := range int(binary.BigEndian.Uint16(b[at:])) {
			e := b[at+2+12*i:][:12]
			tag, kind, count := int(binary.BigEndian.Uint16(e)), binary.BigEndian.Uint16(e[2:]), int(binary.BigEndian.Uint32(e[4:]))
			if tag <= last {
				t.Fatalf("tag %#x after %#x", tag, last)
			}
			last = tag
			size := count * map[uint16]int{1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 10: 8}[kind]
			if off := int(binary.BigEndian.Uint32(e[8:])); size > 4 && (off+size > len(b) || off%2 != 0) || size == 0 {
				t.Fatalf("tag %#x: %d bytes at %d of %d", tag, size, off, len(b))
			}
			if tag == 0x8769 || tag == 0x8825 || tag == 0xA005 {
				walk(int(binary.BigEndian.Uint32(e[8:])))
			}
		}
	}
	walk(8)
}

// What IIM has no room for is shortened between two characters and named; XMP has
// it whole.
func TestShortened(t *testing.T) {
	meta := Meta{Caption: strings.Repeat("é", 1500), Copyright: strings.Repeat("日", 50), Creator: strings.Repeat("x", 33), Credit: strings.Repeat("x", 32)}
	w := write(t, picture(t, 8, 8, SheetOptions{}), Output{Quality: 80, Meta: meta})
	if got := strings.Join(w.Shortened, " "); got != "creator copyright caption" {
		t.Errorf("shortened: %s", got)
	}
	for _, p := range parts(t, w.Bytes) {
		if p.marker != 0xED {
			continue
		}
		for _, f := range []struct {
			number byte
			want   string
		}{{80, strings.Repeat("x", 32)}, {110, strings.Repeat("x", 32)}, {116, strings.Repeat("日", 42)}, {120, strings.Repeat("é", 1000)}} {
			_, rest, _ := strings.Cut(p.data, "\x1C\x02"+string(f.number))
			if n := int(rest[0])<<8 | int(rest[1]); rest[2:2+n] != f.want {
				t.Errorf("2:%d has %d bytes, want %d", f.number, n, len(f.want))
			}
		}
	}
	if rights := document(t, w.Bytes); !bytes.Contains(rights.Bytes(), []byte(meta.Copyright)) || !bytes.Contains(rights.Bytes(), []byte(meta.Caption)) {
		t.Error("XMP does not have it whole")
	}
}
