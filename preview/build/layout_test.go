package build_test

import (
	"bytes"
	"encoding/binary"
	"image/jpeg"
	"strings"
	"testing"
	"time"

	"garner/preview/build"
)

func TestSameShotSameBytes(t *testing.T) {
	for _, l := range layouts {
		a, err := l.write(exposure(), pictures(t))
		if err != nil {
			t.Fatal(err)
		}
		b, _ := l.write(exposure(), pictures(t))
		if !bytes.Equal(a, b) {
			t.Errorf("%s: two runs differ", l.name)
		}
	}
}

func TestRefusals(t *testing.T) {
	good := pictures(t)
	cases := []struct {
		name   string
		change func(*build.Shot, *build.Pictures)
		says   string
	}{
		{"no full picture", func(_ *build.Shot, p *build.Pictures) { p.Full = nil }, "full picture is missing"},
		{"not a JPEG", func(_ *build.Shot, p *build.Pictures) { p.Screen = []byte("GIF89a") }, "does not start with SOI"},
		{"orientation 9", func(s *build.Shot, _ *build.Pictures) { s.Orientation = 9 }, "orientation 9"},
		{"ten digits", func(s *build.Shot, _ *build.Pictures) { s.Taken.Digits = 10 }, "10 sub-second digits"},
	}
	for _, c := range cases {
		for _, l := range layouts {
			s, p := exposure(), good
			c.change(&s, &p)
			b, err := l.write(s, p)
			if err == nil || b != nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s, %s: got %d bytes and error %v", l.name, c.name, len(b), err)
			}
		}
	}
	// The thumbnail of a JPEG shares one marker segment, ITU-T T.81 §B.1.1.4.
	big := good
	big.Thumb = append(bytes.Clone(good.Thumb), make([]byte, 66000)...)
	if _, err := build.JPEG(exposure(), big, false); err == nil {
		t.Error("a thumbnail of more than 64 KiB was written into an Exif segment")
	}
}

// walkTIFF visits every directory the way TIFF 6.0 §2 tells a reader to, and
// checks what that section demands: sorted tags, even value offsets inside the
// file.
func walkTIFF(t *testing.T, b []byte, visit func(dir int, tag, typ uint16, count, value uint32)) {
	t.Helper()
	var order binary.ByteOrder = binary.LittleEndian
	if b[0] == 'M' {
		order = binary.BigEndian
	}
	sizes := map[uint16]uint32{1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 10: 8}
	queue := []uint32{order.Uint32(b[4:])}
	for dir := 0; len(queue) > 0; dir++ {
		at := queue[0]
		queue = queue[1:]
		n := uint32(order.Uint16(b[at:]))
		last := -1
		for i := range n {
			e := b[at+2+12*i:]
			tag, typ, count, value := order.Uint16(e), order.Uint16(e[2:]), order.Uint32(e[4:]), order.Uint32(e[8:])
			if int(tag) <= last {
				t.Errorf("tag %#x follows tag %#x", tag, last)
			}
			last = int(tag)
			n := sizes[typ] * count
			if n == 0 {
				t.Errorf("tag %#x has type %d and count %d", tag, typ, count)
			}
			if n > 4 && (value%2 != 0 || uint64(value)+uint64(n) > uint64(len(b))) {
				t.Errorf("tag %#x: value at %d, %d bytes, in a file of %d", tag, value, n, len(b))
			}
			switch {
			case tag == 0x014A && count == 1, tag == 0x8769, tag == 0xA005:
				queue = append(queue, value)
			case tag == 0x014A:
				for k := range count {
					queue = append(queue, order.Uint32(b[value+4*k:]))
				}
			}
			visit(dir, tag, typ, count, value)
		}
		if next := order.Uint32(b[at+2+12*n:]); next != 0 {
			queue = append(queue, next)
		}
	}
}

func TestTIFFStructure(t *testing.T) {
	for _, l := range layouts[:5] {
		t.Run(l.name, func(t *testing.T) {
			b, err := l.write(exposure(), pictures(t))
			if err != nil {
				t.Fatal(err)
			}
			var offset uint32
			widths := map[int]bool{}
			walkTIFF(t, b, func(_ int, tag, _ uint16, _, value uint32) {
				switch tag {
				case 0x0111, 0x0201:
					offset = value
				case 0x0117, 0x0202:
					if c, err := jpeg.DecodeConfig(bytes.NewReader(b[offset : offset+value])); err == nil {
						widths[c.Width] = true
					}
				}
			})
			if !widths[600] || !widths[324] {
				t.Errorf("the pointers lead to pictures of widths %v, want 600 and 324 among them", widths)
			}
		})
	}
}

// The directories come first and together, so that a reader has them with one
// small read.
func TestDirectoriesComeFirst(t *testing.T) {
	b, err := build.DNG(exposure(), pictures(t), binary.LittleEndian)
	if err != nil {
		t.Fatal(err)
	}
	if i := bytes.Index(b, []byte{0xFF, 0xD8, 0xFF}); i < 0 || i > 4096 {
		t.Errorf("the first picture begins at %d, want the directories in less than 4096 bytes before it", i)
	}
}

// RAF: the JPEG's place is at byte 84 and its length at 88, big endian, as three
// public readers agree.
func TestRAFHeader(t *testing.T) {
	b, err := build.RAF(exposure(), pictures(t))
	if err != nil {
		t.Fatal(err)
	}
	if string(b[:16]) != "FUJIFILMCCD-RAW " {
		t.Errorf("magic is %q", b[:16])
	}
	at, n := binary.BigEndian.Uint32(b[84:]), binary.BigEndian.Uint32(b[88:])
	img, err := jpeg.Decode(bytes.NewReader(b[at : at+n]))
	if err != nil || img.Bounds().Dx() != 600 {
		t.Errorf("the JPEG of the header does not decode to 600 pixels: %v", err)
	}
}

// CR3: after the published description, CTBO records 1 to 3 name the XMP box,
// the preview box and mdat; PRVW lies 0x20 into the preview box with its JPEG
// 24 bytes on, and co64 is the start of mdat's data behind a 16-byte header.
func TestCR3Boxes(t *testing.T) {
	p := pictures(t)
	b, err := build.CR3(exposure(), p)
	if err != nil {
		t.Fatal(err)
	}
	be := binary.BigEndian
	if string(b[4:12]) != "ftypcrx " || be.Uint32(b) != 0x18 {
		t.Errorf("file begins % x", b[:12])
	}
	ctbo := bytes.Index(b, []byte("CTBO")) + 4
	if be.Uint32(b[ctbo:]) != 3 {
		t.Fatalf("CTBO has %d records, want 3", be.Uint32(b[ctbo:]))
	}
	record := func(i int) (at, n uint64) {
		r := b[ctbo+4+20*(i-1):]
		if be.Uint32(r) != uint32(i) {
			t.Fatalf("record %d has index %d", i, be.Uint32(r))
		}
		return be.Uint64(r[4:]), be.Uint64(r[12:])
	}
	moovEnd := uint64(0x18) + uint64(be.Uint32(b[0x18:]))
	xmp, xmpLen := record(1)
	prvw, prvwLen := record(2)
	mdat, mdatLen := record(3)
	if xmp != moovEnd || prvw != xmp+xmpLen || mdat != prvw+prvwLen || mdat+mdatLen != uint64(len(b)) {
		t.Errorf("boxes do not follow each other: moov ends %d, XMP %d+%d, preview %d+%d, mdat %d+%d, file %d",
			moovEnd, xmp, xmpLen, prvw, prvwLen, mdat, mdatLen, len(b))
	}
	if got := b[prvw+0x20+24:][:len(p.Screen)]; !bytes.Equal(got, p.Screen) {
		t.Error("the screen picture is not at its place in PRVW")
	}
	if n := be.Uint32(b[prvw+0x20+20:]); n != uint32(len(p.Screen)) {
		t.Errorf("PRVW says %d bytes, want %d", n, len(p.Screen))
	}
	co64 := bytes.Index(b, []byte("co64"))
	if at := be.Uint64(b[co64+12:]); at != mdat+16 || !bytes.Equal(b[at:], p.Full) {
		t.Errorf("co64 is %d, want mdat's data at %d", at, mdat+16)
	}
}

// Exif 2.32 on DateTime and SubSecTime: an unknown time is blanks with its
// colons, the digits are a decimal fraction, so .07 s with two digits is "07".
func TestTimes(t *testing.T) {
	wall := time.Date(2026, 6, 13, 9, 5, 3, 70_900_000, time.UTC)
	cases := []struct {
		name    string
		clock   build.Clock
		has     []string
		without []string
	}{
		{"two digits, zone", build.Clock{Wall: wall, Digits: 2, Zone: 120, HasZone: true}, []string{"2026:06:13 09:05:03\x00", "07\x00", "+02:00\x00"}, nil},
		{"three digits", build.Clock{Wall: wall, Digits: 3}, []string{"070\x00"}, []string{"+00:00"}},
		{"west and half an hour", build.Clock{Wall: wall, Zone: -210, HasZone: true}, []string{"-03:30\x00"}, nil},
		{"Greenwich is known, not missing", build.Clock{Wall: wall, HasZone: true}, []string{"+00:00\x00"}, nil},
		{"unknown", build.Clock{Digits: 2}, []string{"    :  :     :  :  \x00"}, []string{"0001:01:01", "1970"}},
	}
	for _, c := range cases {
		s := exposure()
		s.Taken = c.clock
		for _, l := range layouts {
			b, err := l.write(s, pictures(t))
			if err != nil {
				t.Fatal(err)
			}
			for _, want := range c.has {
				if !bytes.Contains(b, []byte(want)) {
					t.Errorf("%s, %s: %q is not in the file", c.name, l.name, want)
				}
			}
			for _, bad := range c.without {
				if bytes.Contains(b, []byte(bad)) {
					t.Errorf("%s, %s: %q is in the file", c.name, l.name, bad)
				}
			}
		}
	}
}

func TestOptionalPicturesAreLeftOut(t *testing.T) {
	p := build.Pictures{Full: pictures(t).Full}
	for _, l := range layouts {
		b, err := l.write(build.Shot{Make: "Varnholt", Width: 600, Height: 400}, p)
		if err != nil {
			t.Fatalf("%s: %v", l.name, err)
		}
		if !bytes.Contains(b, p.Full[2:]) {
			t.Errorf("%s: the full picture is missing", l.name)
		}
	}
	b, err := build.JPEG(build.Shot{AdobeRGB: true}, p, false)
	if err != nil || !bytes.Contains(b, []byte("R03\x00")) {
		t.Errorf("Adobe RGB is not marked by InteroperabilityIndex R03 (%v)", err)
	}
}
