package imprint

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/preview/exif"
	"garner/preview/icc"
	"garner/preview/internal/ifd"
	"garner/preview/jpeg"
	"garner/preview/xmp"
	"garner/testdata/testneed"
)

// tool runs a reader of others and returns what it says.
func tool(t testing.TB, name string, args ...string) string {
	t.Helper()
	cmd := exec.Command(testneed.Tool(t, name), args...)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil || said.Len() > 0 {
		t.Fatalf("%s %v: %v: %s", name, args, err, said.String())
	}
	return out.String()
}

func saved(t testing.TB, b []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "picture.jpg")
	if err := os.WriteFile(name, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// facts is what exiftool reads of each file, by group and name, values as they are
// stored.
func facts(t testing.TB, files []string, args ...string) []map[string]any {
	t.Helper()
	var all []map[string]any
	out := tool(t, "exiftool", slices.Concat(args, []string{"-q", "-j", "-n", "-G1", "-struct"}, files)...)
	if err := json.Unmarshal([]byte(out), &all); err != nil || len(all) != len(files) {
		t.Fatalf("%d files of %d: %v", len(all), len(files), err)
	}
	return all
}

// camera is the Exif of an input: with what may be taken over, what may not, and
// what may if it is asked for.
func camera(order binary.ByteOrder) []byte {
	var d, shot, place ifd.Directory
	d.Text(0x010F, "Nikon\x01")
	d.Text(0x0110, "Z 6")
	d.Short(0x0112, 6)
	d.Text(0x0131, "Secret Editor 1.0")
	d.Text(0x013B, "Somebody Else")
	shot.Fraction(0x829A, 1, 250)
	shot.Fraction(0x829D, 28, 10)
	shot.Short(0x8827, 3200)
	shot.Fraction(0x920A, 85, 1)
	shot.Text(0xA434, "85mm f/1.8")
	shot.Text(0xA431, "SER1234567")
	shot.Text(0xA435, "LENS98765")
	shot.Text(0xA430, "Owner Name")
	shot.Text(0xA420, "0123456789ABCDEF0123456789ABCDEF")
	shot.Bytes(0x927C, "maker's note SER1234567")
	shot.Bytes(0x9286, "ASCII\x00\x00\x00comment")
	shot.Text(0x9003, "2020:01:01 00:00:00")
	place.Add(0, 1, 4, []byte("\x02\x03\x00\x00"))
	place.Text(1, "N")
	place.Add(2, 5, 3, triple(48, 1, 8, 1, 1512, 100))
	place.Text(3, "E")
	place.Add(4, 5, 3, triple(11, 1, 34, 1, 3000, 100))
	d.Long(0x8769, 0)
	d.Long(0x8825, 0)
	out, at := d.Append([]byte("MM\x00\x2A\x00\x00\x00\x08"))
	binary.BigEndian.PutUint32(out[at[0x8769]:], uint32(len(out)))
	out, _ = shot.Append(out)
	binary.BigEndian.PutUint32(out[at[0x8825]:], uint32(len(out)))
	out, _ = place.Append(out)
	if order == binary.ByteOrder(binary.LittleEndian) {
		return lowFirst(out)
	}
	return out
}

func triple(v ...uint32) (b []byte) {
	for _, x := range v {
		b = binary.BigEndian.AppendUint32(b, x)
	}
	return b
}

// lowFirst rewrites a structure of ours with the lowest bytes first.
func lowFirst(b []byte) []byte {
	out := bytes.Clone(b)
	copy(out, "II\x2A\x00\x08\x00\x00\x00")
	var walk func(at int)
	walk = func(at int) {
		n := int(binary.BigEndian.Uint16(b[at:]))
		binary.LittleEndian.PutUint16(out[at:], uint16(n))
		for i := range n {
			e := b[at+2+12*i:][:12]
			to := out[at+2+12*i:][:12]
			tag, kind, count := binary.BigEndian.Uint16(e), binary.BigEndian.Uint16(e[2:]), int(binary.BigEndian.Uint32(e[4:]))
			binary.LittleEndian.PutUint16(to, tag)
			binary.LittleEndian.PutUint16(to[2:], kind)
			binary.LittleEndian.PutUint32(to[4:], uint32(count))
			unit := map[uint16]int{1: 1, 2: 1, 3: 2, 4: 4, 5: 4, 7: 1, 10: 4}[kind]
			size := unit * count
			if kind == 5 || kind == 10 {
				size *= 2
			}
			from, dst := e[8:], to[8:]
			if size > 4 {
				off := int(binary.BigEndian.Uint32(from))
				binary.LittleEndian.PutUint32(dst, uint32(off))
				from, dst = b[off:], out[off:]
			}
			for k := 0; k < size; k += unit {
				for j := range unit {
					dst[k+j] = from[k+unit-1-j]
				}
			}
			if tag == 0x8769 || tag == 0x8825 {
				walk(int(binary.BigEndian.Uint32(e[8:])))
			}
		}
	}
	walk(8)
	return out
}

// exiftool reads everything in all three forms, and finds nothing to complain of.
// press is what the reference tools call the namespace of the credit line.
var press = strings.Split(xmp.NSPress, "/")[3]

func TestForExiftool(t *testing.T) {
	m := picture(t, 120, 80, SheetOptions{Chroma: Half})
	o := Output{Quality: 92, Profile: profileOf(70_000, "RGB "), Meta: fullMeta()}
	o.Meta.Exif = append([]byte(exifID), camera(binary.BigEndian)...)
	w := write(t, m, o)
	file := saved(t, w.Bytes)
	got := facts(t, []string{file}, "-validate", "-warning", "-a", "-all")[0]
	for name, want := range map[string]any{
		"JFIF:ResolutionUnit": 1.0, "JFIF:XResolution": 300.0, "JFIF:YResolution": 300.0,
		"IFD0:XResolution": 300.0, "IFD0:YResolution": 300.0, "IFD0:ResolutionUnit": 2.0, "IFD0:Orientation": 1.0,
		"IFD0:ImageDescription": "Anna & Łukasz,\n13. Juni <früh>", "IFD0:Artist": "Zoë Grün", "IFD0:Copyright": "© 2026 Zoë Grün",
		"IFD0:Make": "Nikon", "IFD0:Model": "Z 6", "IFD0:YCbCrPositioning": 1.0,
		"ExifIFD:DateTimeOriginal": "2026:06:13 14:02:11", "ExifIFD:SubSecTimeOriginal": 130.0, "ExifIFD:OffsetTimeOriginal": "+02:00",
		"ExifIFD:CreateDate": "2026:06:13 14:02:11", "ExifIFD:ISO": 3200.0, "ExifIFD:FNumber": 2.8, "ExifIFD:ExposureTime": 0.004,
		"ExifIFD:FocalLength": 85.0, "ExifIFD:LensModel": "85mm f/1.8", "ExifIFD:ColorSpace": 1.0, "ExifIFD:ExifImageWidth": 120.0, "ExifIFD:ExifImageHeight": 80.0,
		"XMP-xmpMM:DocumentID": o.Meta.Chain.ID(), "XMP-xmpMM:OriginalDocumentID": "AABBCC",
		"XMP-dc:Title": "Ja", "XMP-dc:Description": "Anna & Łukasz,\n13. Juni <früh>", "XMP-dc:Rights": "© 2026 Zoë Grün", "XMP-xmpRights:Marked": true,
		"XMP-" + press + ":Credit": "Grün & Söhne", "XMP-" + press + ":DateCreated": "2026:06:13 14:02:11.130+02:00", "XMP-xmp:CreateDate": "2026:06:13 14:02:11.130+02:00",
		"IPTC:CodedCharacterSet": "\x1B%G", "IPTC:Caption-Abstract": "Anna & Łukasz,\n13. Juni <früh>", "IPTC:Credit": "Grün & Söhne",
		"IPTC:CopyrightNotice": "© 2026 Zoë Grün", "IPTC:By-line": "Zoë Grün", "IPTC:ObjectName": "Ja",
		"IPTC:DateCreated": "2026:06:13", "IPTC:TimeCreated": "14:02:11+02:00",
		"ExifTool:Validate": "0 0 0",
	} {
		if fmt.Sprint(got[name]) != fmt.Sprint(want) {
			t.Errorf("%s is %#v, want %#v", name, got[name], want)
		}
	}
	if from, _ := got["XMP-xmpMM:DerivedFrom"].(map[string]any); from["DocumentID"] != "xmp.did:1234" || from["InstanceID"] != "xmp.iid:5678" {
		t.Errorf("derived from %v", from)
	}
	for _, list := range []string{"XMP-dc:Subject", "IPTC:Keywords"} {
		if s := fmt.Sprint(got[list]); s != "[wedding Łódź]" {
			t.Errorf("%s is %s", list, s)
		}
	}
	if s := fmt.Sprint(got["XMP-dc:Creator"]); s != "[Zoë Grün]" && s != "Zoë Grün" {
		t.Errorf("creator %s", s)
	}
	if a, b := got[strings.ToUpper(press[:1])+press[1:]+":IPTCDigest"], got["File:CurrentIPTCDigest"]; a == nil || b != nil && a != b {
		t.Errorf("digest %v of %v", a, b)
	}
	if w := got["ExifTool:Warning"]; w != nil {
		t.Errorf("warning: %v", w)
	}
	profile := tool(t, "exiftool", "-b", "-icc_profile", file)
	if profile != string(o.Profile) {
		t.Errorf("the profile comes back as %d bytes of %d", len(profile), len(o.Profile))
	}
}

// What is not asked for is not there: exiftool finds no serial number, no place and
// nothing that an editor or the body wrote, in either byte order; asked for, it is.
func TestPrivacyForExiftool(t *testing.T) {
	m := picture(t, 32, 24, SheetOptions{})
	var files []string
	for _, order := range []binary.ByteOrder{binary.BigEndian, binary.LittleEndian} {
		o := Output{Quality: 80, Meta: fullMeta()}
		o.Meta.Exif = camera(order)
		w := write(t, m, o)
		for _, gone := range []string{"SER1234567", "LENS98765", "Secret Editor", "Somebody Else", "Owner Name", "0123456789ABCDEF", "comment", "2020:01:01", "garner/keep"} {
			if bytes.Contains(w.Bytes, []byte(gone)) {
				t.Errorf("%q is in the file", gone)
			}
		}
		files = append(files, saved(t, w.Bytes))
		o.Meta.KeepGPS = true
		files = append(files, saved(t, write(t, m, o).Bytes))
		o.Meta.KeepGPS, o.Meta.KeepSerial = false, true
		files = append(files, saved(t, write(t, m, o).Bytes))
	}
	all := facts(t, files)
	for i := 0; i < len(all); i += 3 {
		bare, place, serial := all[i], all[i+1], all[i+2]
		for name := range bare {
			for _, part := range []string{"Serial", "GPS", "Owner", "Software", "MakerNote", "UniqueID", "Thumbnail", "History"} {
				if strings.Contains(name, part) {
					t.Errorf("%s is in the file: %v", name, bare[name])
				}
			}
		}
		if bare["IFD0:Model"] != "Z 6" || bare["ExifIFD:ISO"] != 3200.0 {
			t.Errorf("camera %v at ISO %v", bare["IFD0:Model"], bare["ExifIFD:ISO"])
		}
		lat, _ := place["GPS:GPSLatitude"].(float64)
		long, _ := place["GPS:GPSLongitude"].(float64)
		if d := lat - (48 + 8.0/60 + 15.12/3600); d > 1e-6 || d < -1e-6 || long < 11.574 || long > 11.576 || place["ExifIFD:SerialNumber"] != nil {
			t.Errorf("place %v %v, serial %v", lat, long, place["ExifIFD:SerialNumber"])
		}
		if serial["ExifIFD:SerialNumber"] != "SER1234567" || serial["ExifIFD:LensSerialNumber"] != "LENS98765" || serial["GPS:GPSLatitude"] != nil {
			t.Errorf("serial %v, place %v", serial["ExifIFD:SerialNumber"], serial["GPS:GPSLatitude"])
		}
	}
}

// exiv2 reads the same.
func TestForExiv2(t *testing.T) {
	o := Output{Quality: 92, PPI: 254, Space: icc.SpaceAdobeRGB, Profile: profileOf(70_000, "RGB "), Meta: fullMeta()}
	o.Meta.Exif = camera(binary.LittleEndian)
	file := saved(t, write(t, picture(t, 120, 80, SheetOptions{}), o).Bytes)
	got := map[string][]string{}
	for line := range strings.Lines(tool(t, "exiv2", "-PEIXkv", file)) {
		if key, value, ok := strings.Cut(strings.TrimRight(line, "\n"), " "); ok {
			got[key] = append(got[key], strings.TrimSpace(value))
		}
	}
	for name, want := range map[string]string{
		"Exif.Image.XResolution": "254/1", "Exif.Image.YResolution": "254/1", "Exif.Image.ResolutionUnit": "2", "Exif.Image.Orientation": "1",
		"Exif.Image.Artist": "Zoë Grün", "Exif.Image.Copyright": "© 2026 Zoë Grün", "Exif.Image.Model": "Z 6",
		"Exif.Photo.DateTimeOriginal": "2026:06:13 14:02:11", "Exif.Photo.SubSecTimeOriginal": "130", "Exif.Photo.OffsetTimeOriginal": "+02:00",
		"Exif.Photo.ExposureTime": "1/250", "Exif.Photo.ColorSpace": "65535", "Exif.Iop.InteroperabilityIndex": "R03",
		"Iptc.Application2.Byline": "Zoë Grün", "Iptc.Application2.Credit": "Grün & Söhne", "Iptc.Application2.Copyright": "© 2026 Zoë Grün",
		"Xmp.dc.rights": `lang="x-default" © 2026 Zoë Grün`, "Xmp.dc.subject": "wedding, Łódź", "Xmp.dc.creator": "Zoë Grün", "Xmp." + press + ".Credit": "Grün & Söhne",
		"Xmp.xmpMM.DocumentID": o.Meta.Chain.ID(), "Xmp.xmpMM.OriginalDocumentID": "AABBCC",
		"Xmp.xmpMM.DerivedFrom/stRef:documentID": "xmp.did:1234", "Xmp.xmpMM.DerivedFrom/stRef:instanceID": "xmp.iid:5678",
	} {
		if !slices.Contains(got[name], want) {
			t.Errorf("%s is %q, want %q", name, got[name], want)
		}
	}
	for name := range got {
		if strings.Contains(name, "Serial") || strings.Contains(name, "GPS") || strings.Contains(name, "Maker") {
			t.Errorf("%s is in the file", name)
		}
	}
	tool(t, "exiv2", "-eC", file)
	if profile, err := os.ReadFile(strings.TrimSuffix(file, ".jpg") + ".icc"); err != nil || !bytes.Equal(profile, o.Profile) {
		t.Errorf("the profile comes back as %d bytes of %d: %v", len(profile), len(o.Profile), err)
	}
}

// What is not known is not made up: no zone, no part of a second, no time.
func TestTimesForExiftool(t *testing.T) {
	m := picture(t, 8, 8, SheetOptions{})
	wall := time.Date(2026, 1, 2, 3, 4, 5, 70_000_000, time.UTC)
	cases := []struct {
		time                   exif.Time
		xmp, subsec, zone, day any
	}{
		{exif.Time{Wall: wall, Digits: 2, Zone: -210, HasZone: true}, "2026:01:02 03:04:05.07-03:30", "07", "-03:30", "2026:01:02"},
		{exif.Time{Wall: wall, Digits: 3}, "2026:01:02 03:04:05.070", "070", nil, "2026:01:02"},
		{exif.Time{Wall: wall}, "2026:01:02 03:04:05", nil, nil, "2026:01:02"},
		{},
	}
	var files []string
	for _, c := range cases {
		files = append(files, saved(t, write(t, m, Output{Quality: 80, Meta: Meta{Taken: c.time, Title: "t"}}).Bytes))
	}
	for i, got := range facts(t, files, "-api", "structformat=jsonq") {
		c := cases[i]
		for tag, want := range map[string]any{"XMP-xmp:CreateDate": c.xmp, "ExifIFD:SubSecTimeOriginal": c.subsec, "ExifIFD:OffsetTimeOriginal": c.zone, "IPTC:DateCreated": c.day} {
			if fmt.Sprint(got[tag]) != fmt.Sprint(want) {
				t.Errorf("%v: %s is %#v, want %#v", c.time, tag, got[tag], want)
			}
		}
		if c.zone == nil && got["IPTC:TimeCreated"] != nil {
			t.Errorf("%v: a time of no zone is %v", c.time, got["IPTC:TimeCreated"])
		}
	}
}

// djpeg reads what was written without a word, and its pixels are those that were
// put in: PSNR as the quality gives it (measured; a wrong factor or order costs
// 10 dB and more).
func TestForDjpeg(t *testing.T) {
	for name, o := range map[string]SheetOptions{"444": {}, "420": {Chroma: Half}, "grey": {Grey: true}} {
		m := picture(t, 333, 222, o)
		w := write(t, m, Output{Quality: 95, Meta: fullMeta()})
		out := tool(t, "djpeg", "-dct", "int", "-grayscale", saved(t, w.Bytes))
		var width, height, most, head int
		if _, err := fmt.Sscanf(out, "P5\n%d %d\n%d\n", &width, &height, &most); err != nil || width != 333 || height != 222 {
			t.Fatalf("%s: %v: %dx%d", name, err, width, height)
		}
		head = len(out) - width*height
		sum := 0.0
		for y := range height {
			for x := range width {
				d := float64(out[head+y*width+x]) - float64(m.Y[y*m.YStride+x])
				sum += d * d
			}
		}
		if mse := sum / float64(width*height); mse > 4 { // 42 dB
			t.Errorf("%s: mean squared error %.2f", name, mse)
		}
	}
}

// The planes of 4:4:4 are those that cjpeg makes of the same pixels: what both
// write at one quality is the same picture.
func TestPlanesAgainstCjpeg(t *testing.T) {
	const w, h = 64, 48
	var ppm bytes.Buffer
	fmt.Fprintf(&ppm, "P6\n%d %d\n255\n", w, h)
	rgb := make([]byte, 3*w*h)
	for i := range rgb {
		rgb[i] = byte(i*i>>4 ^ i*5)
	}
	m := filled(t, w, h, SheetOptions{}, rgb)
	ppm.Write(rgb)
	in := filepath.Join(t.TempDir(), "in.ppm")
	if err := os.WriteFile(in, ppm.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	theirs := tool(t, "cjpeg", "-quality", "100", "-sample", "1x1", "-dct", "int", in)
	got, err := jpeg.Decode([]byte(theirs), jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	ours, err := jpeg.Decode(write(t, m, Output{Quality: 100}).Bytes, jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range [][2][]byte{{got.Y, ours.Y}, {got.Cb, ours.Cb}, {got.Cr, ours.Cr}} {
		for k := range p[0] {
			if d := int(p[0][k]) - int(p[1][k]); max(d, -d) > 1 {
				t.Fatalf("plane %d differs by %d at %d", i, d, k)
			}
		}
	}
}

// Exif of real bodies: what exiftool reads of a raw's exposure it reads in the
// file, and no serial number. The structures are whole raw files, in both orders.
func TestRealExif(t *testing.T) {
	dir := filepath.Join(testneed.Samples(t), "raw")
	tags := []string{"IFD0:Make", "IFD0:Model", "ExifIFD:ExposureTime", "ExifIFD:FNumber", "ExifIFD:ISO", "ExifIFD:FocalLength", "ExifIFD:ExposureCompensation", "ExifIFD:LensModel"}
	m := picture(t, 8, 8, SheetOptions{})
	var from, to []string
	for _, name := range []string{"Nikon.nef", "tika_testCR2.cr2", "tika_testDNG.dng", "tika_testNEF.nef", "tika_testPEF.pef", "tika_testARW.arw"} {
		b, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		from = append(from, filepath.Join(dir, name))
		to = append(to, saved(t, write(t, m, Output{Quality: 80, Meta: Meta{Exif: b, Caption: name}}).Bytes))
	}
	raw, got := facts(t, from), facts(t, to)
	for i := range raw {
		same := 0
		for _, tag := range tags {
			if want := raw[i][tag]; want != nil && fmt.Sprint(want) != "undef" {
				if a, b := fmt.Sprint(got[i][tag]), fmt.Sprint(want); a != b {
					t.Errorf("%s: %s is %s, want %s", filepath.Base(from[i]), tag, a, b)
				}
				same++
			}
		}
		if same < 2 {
			t.Errorf("%s: only %d of the tags are there", filepath.Base(from[i]), same)
		}
		for name := range got[i] {
			if strings.Contains(name, "Serial") || strings.Contains(name, "GPS") || strings.Contains(name, "Owner") {
				t.Errorf("%s: %s is in the file", filepath.Base(from[i]), name)
			}
		}
	}
}

// The profile of each space is found under its name, and Exif says what it has
// words for: sRGB, and the optional space of DCF 2.0.
func TestProfilesForExiftool(t *testing.T) {
	m := picture(t, 8, 8, SheetOptions{})
	spaces := []icc.Space{icc.SpaceSRGB, icc.SpaceDisplayP3, icc.SpaceAdobeRGB}
	var files []string
	for _, s := range spaces {
		files = append(files, saved(t, write(t, m, Output{Quality: 80, Space: s, Profile: icc.Encode(s)}).Bytes))
	}
	for i, got := range facts(t, files) {
		want := [][2]any{{1.0, nil}, {65535.0, nil}, {65535.0, "R03"}}[i]
		if name := fmt.Sprint(got["ICC_Profile:ProfileDescription"]); !strings.Contains(name, spaces[i].String()) ||
			got["ExifIFD:ColorSpace"] != want[0] || got["InteropIFD:InteropIndex"] != want[1] {
			t.Errorf("%v: profile %q, Exif %v %v", spaces[i], name, got["ExifIFD:ColorSpace"], got["InteropIFD:InteropIndex"])
		}
	}
}
