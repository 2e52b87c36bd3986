package finished_test

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/preview/finished"
	"garner/testdata/testneed"
)

// blanks are a JPEG, a TIFF and a PNG without any metadata.
func blanks(t *testing.T) map[string][]byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewNRGBA(image.Rect(0, 0, 8, 6))); err != nil {
		t.Fatal(err)
	}
	return map[string][]byte{
		".jpg": run(t, ppm(8, 6), ".jpg", testneed.Tool(t, "cjpeg"), "-outfile", "OUT", "IN"),
		".tif": baseTIFF(binary.BigEndian, 8, 6, 3, 8, 2, scene(8, 6, 3, 8)),
		".png": b.Bytes(),
	}
}

// written is what exiftool makes of files, by their extensions.
func written(t *testing.T, files map[string][]byte, args ...string) map[string][]byte {
	t.Helper()
	dir := t.TempDir()
	args = append(args, "-q", "-o", filepath.Join(dir, "out")+"/")
	for ext, b := range files {
		path := filepath.Join(dir, "a"+ext)
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, path)
	}
	if out, err := exec.Command(testneed.Tool(t, "exiftool"), args...).CombinedOutput(); err != nil {
		t.Fatalf("exiftool: %v\n%s", err, out)
	}
	made := map[string][]byte{}
	for ext := range files {
		b, err := os.ReadFile(filepath.Join(dir, "out", "a"+ext))
		if err != nil {
			t.Fatal(err)
		}
		made[ext] = b
	}
	return made
}

// What exiftool writes into each format is read out of it: identity, capture time,
// texts, in the places that each format has for them.
func TestMetaOfExiftool(t *testing.T) {
	t.Parallel()
	identity := []string{
		"-XMP-xmpMM:DocumentID=xmp.did:1", "-XMP-xmpMM:OriginalDocumentID=A0B1", "-XMP-xmpMM:InstanceID=xmp.iid:2",
		"-XMP-xmpMM:DerivedFromDocumentID=xmp.did:0", "-XMP-xmpMM:DerivedFromOriginalDocumentID=A0B1", "-XMP-xmpMM:DerivedFromInstanceID=xmp.iid:0",
		`-XMP-xmpMM:DerivedFromFilePath=D:\job\IMG_0001.CR3`, "-XMP-xmpMM:IngredientsDocumentID=did:7", "-XMP-xmpMM:IngredientsDocumentID=did:8",
		"-XMP-dc:Source=IMG_0002.CR3",
		"-XMP-dc:Description=Ümläute & more", "-XMP-dc:Title=T", "-XMP-dc:Creator=C. Reator", "-XMP-dc:Rights=© R", "-XMP:Credit=K",
		"-XMP-dc:Subject=one", "-XMP-dc:Subject=two", "-XMP-xmp:CreatorTool=a tool",
	}
	exposure := []string{
		"-EXIF:DateTimeOriginal=2026:06:13 15:04:05", "-EXIF:SubSecTimeOriginal=07", "-EXIF:OffsetTimeOriginal=+02:00", "-EXIF:Make=Maker", "-EXIF:Model=Body",
		"-EXIF:SerialNumber=00123", "-EXIF:Orientation#=6", "-EXIF:ColorSpace#=1", "-EXIF:GPSLatitude=47.5", "-EXIF:GPSLatitudeRef=N",
		"-EXIF:ImageDescription=from Exif", "-EXIF:Artist=from Exif", "-EXIF:Copyright=from Exif",
	}
	want := finished.Meta{
		Make: "Maker", Model: "Body", Serial: "00123", Software: "a tool",
		DocumentID: "xmp.did:1", OriginalDocumentID: "A0B1", InstanceID: "xmp.iid:2",
		DerivedFrom: finished.Reference{DocumentID: "xmp.did:0", OriginalDocumentID: "A0B1", InstanceID: "xmp.iid:0", FilePath: `D:\job\IMG_0001.CR3`},
		Ingredients: []finished.Reference{{DocumentID: "did:7"}, {DocumentID: "did:8"}},
		SourceNames: []string{"IMG_0001.CR3", "IMG_0002.CR3"},
		Caption:     "Ümläute & more", Title: "T", Creator: "C. Reator", Copyright: "© R", Credit: "K",
		Keywords: []string{"one", "two"}, GPS: true,
	}
	for ext, b := range written(t, blanks(t), slices.Concat(identity, exposure)...) {
		p := open(t, b)
		taken := p.Meta.Taken
		if !taken.Wall.Equal(time.Date(2026, 6, 13, 15, 4, 5, 70e6, time.UTC)) || taken.Digits != 2 || !taken.HasZone || taken.Zone != 120 {
			t.Errorf("%s: taken %+v", ext, taken)
		}
		got := p.Meta
		got.Taken = want.Taken
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s:\n%+v, want\n%+v", ext, got, want)
		}
		if p.Orientation != 6 || p.ColorSpace != finished.SpaceSRGB || len(p.Remarks) > 0 && ext != ".png" {
			t.Errorf("%s: orientation %d, %q, %q", ext, p.Orientation, p.ColorSpace, p.Remarks)
		}
	}
}

// Where XMP is silent IPTC-IIM and Exif speak, and XMP's own capture time where Exif
// has none.
func TestMetaOfLesserPlaces(t *testing.T) {
	t.Parallel()
	for ext, b := range written(t, blanks(t), "-EXIF:ImageDescription=D", "-EXIF:Artist=A", "-EXIF:Copyright=C",
		"-XMP-exif:DateTimeOriginal=2026:06:13 15:04:05.25-03:30", "-XMP-aux:SerialNumber=77", "-XMP-tiff:Model=M") {
		m := open(t, b).Meta
		if m.Caption != "D" || m.Creator != "A" || m.Copyright != "C" || m.Serial != "77" || m.Model != "M" || m.GPS {
			t.Errorf("%s: %+v", ext, m)
		}
		if !m.Taken.Wall.Equal(time.Date(2026, 6, 13, 15, 4, 5, 250e6, time.UTC)) || m.Taken.Zone != -210 {
			t.Errorf("%s: taken %+v", ext, m.Taken)
		}
	}
	files := blanks(t)
	delete(files, ".png") // which has no place of its own for IPTC-IIM
	for ext, b := range written(t, files, "-EXIF:ImageDescription=D", "-IPTC:Caption-Abstract=Ü", "-IPTC:Credit=K", "-IPTC:CopyrightNotice=R", "-IPTC:By-line=B",
		"-IPTC:ObjectName=O", "-IPTC:Keywords=k1", "-IPTC:Keywords=k2", "-IPTC:CodedCharacterSet=UTF8") {
		if m := open(t, b).Meta; m.Caption != "Ü" || m.Credit != "K" || m.Copyright != "R" || m.Creator != "B" || m.Title != "O" || strings.Join(m.Keywords, " ") != "k1 k2" {
			t.Errorf("%s: %+v", ext, m)
		}
	}
	for ext, b := range written(t, files, "-IPTC:Caption-Abstract=Ü", "-charset", "iptc=latin") {
		if m := open(t, b).Meta; m.Caption != "Ü" {
			t.Errorf("%s: caption in Latin-1: %q", ext, m.Caption)
		}
	}
}

// Profiles come back byte for byte, also one of several segments; one of another
// number of channels is no profile of the picture.
func TestProfiles(t *testing.T) {
	t.Parallel()
	big := make([]byte, 200_000)
	copy(big, []byte{0, 3, 0x0D, 0x40})
	copy(big[12:], "mntrRGB XYZ ")
	copy(big[36:], "acsp")
	for i := 132; i < len(big); i++ {
		big[i] = byte(i * i >> 7)
	}
	path := filepath.Join(t.TempDir(), "p.icc")
	for space, fault := range map[string]string{"RGB ": "", "GRAY": "describes grey, the picture is RGB"} {
		copy(big[16:], space)
		if err := os.WriteFile(path, big, 0o600); err != nil {
			t.Fatal(err)
		}
		for ext, b := range written(t, blanks(t), "-icc_profile<="+path) {
			p := open(t, b)
			if p.ProfileFault != fault || fault == "" && !bytes.Equal(p.Profile, big) || fault != "" && p.Profile != nil {
				t.Errorf("%s %s: %d bytes, fault %q", ext, space, len(p.Profile), p.ProfileFault)
			}
		}
	}
}

// Exif of a TIFF, in either order of bytes, holds what exiftool wrote of exposure and
// place, and exiftool reads it again.
func TestExifOfTIFFs(t *testing.T) {
	t.Parallel()
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		blank := map[string][]byte{".tif": baseTIFF(order, 8, 6, 3, 8, 2, scene(8, 6, 3, 8))}
		b := written(t, blank, "-Make=Lumora", "-Model=Lumora Five", "-ExposureTime=1/200", "-ISO=400", "-LensModel=50mm", "-SerialNumber=1001",
			"-UserComment=a note", "-GPSLatitude=48.125", "-GPSLatitudeRef=N", "-GPSLongitude=11.5", "-GPSLongitudeRef=E")[".tif"]
		p := open(t, b)
		path := filepath.Join(t.TempDir(), "a.tif")
		if err := os.WriteFile(path, p.Exif, 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(testneed.Tool(t, "exiftool"), "-n", "-s3", "-Make", "-Model", "-ExposureTime", "-ISO", "-LensModel", "-SerialNumber", "-GPSLatitude", "-GPSLongitude", "-ImageWidth", path).CombinedOutput()
		want := "Lumora\nLumora Five\n0.005\n400\n50mm\n1001\n48.125\n11.5\n"
		if err != nil || string(out) != want {
			t.Errorf("%v: %v\n%s", order, err, out)
		}
		if p.Meta.Serial != "1001" || !p.Meta.GPS {
			t.Errorf("%v: %+v", order, p.Meta)
		}
	}
}

// Several photographers of a picture are all named (CIPA DC-008 §4.6.4 has them in one
// text).
func TestSeveralCreators(t *testing.T) {
	t.Parallel()
	for where, args := range map[string][]string{
		"XMP":  {"-XMP-dc:Creator=Anna Berg", "-XMP-dc:Creator=Ben Thal"},
		"IPTC": {"-IPTC:By-line=Anna Berg", "-IPTC:By-line=Ben Thal"},
		"Exif": {"-EXIF:Artist=Anna Berg; Ben Thal"},
	} {
		b := written(t, map[string][]byte{".jpg": blanks(t)[".jpg"]}, args...)[".jpg"]
		if got := open(t, b).Meta.Creator; got != "Anna Berg; Ben Thal" {
			t.Errorf("%s: %q", where, got)
		}
	}
}
