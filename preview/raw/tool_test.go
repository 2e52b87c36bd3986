package raw_test

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"garner/preview/exif"
	"garner/preview/internal/bin"
	"garner/preview/internal/craft"
	"garner/preview/internal/marker"
	"garner/preview/raw"
	"garner/testdata/testneed"
)

// real is a real file, at a path where exiftool can read it.
type real struct {
	path string
	data []byte
}

// realFiles lists the files of both modules and of the samples' folder that are of
// the families of this half of the package.
func realFiles(t testing.TB) []real {
	whole := filepath.Join(testneed.Module(t, "github.com/evanoberholster/imagemeta"), "testImages")
	cut := filepath.Join(testneed.Module(t, "github.com/bep/imagemeta"), "testdata", "images")
	patterns := []string{
		filepath.Join(whole, "*.exif"), filepath.Join(whole, "Hero8.GPR"), filepath.Join(whole, "*.jpg"),
		filepath.Join(cut, "sample.*"), filepath.Join(cut, "bep", "*.pef"), filepath.Join(cut, "bep", "*.jpg"), filepath.Join(cut, "bep", "*.tif"),
		filepath.Join(cut, "goexif", "*.jpg"), filepath.Join(cut, "metadata-extractor", "*.jpg"), filepath.Join(cut, "*.jpg"),
	}
	if dir := os.Getenv("GARNER_SAMPLES"); dir != "" {
		for _, name := range []string{"tika_*", "Nikon.nef", "Panasonic.rw2"} {
			patterns = append(patterns, filepath.Join(dir, "raw", name))
		}
	}
	var out []real
	for _, p := range patterns {
		paths, err := filepath.Glob(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			switch name := filepath.Base(path); {
			case name == "Heic.exif" || name == "Unknown.exif" || name == "sample.heic":
				continue
			case filepath.Base(filepath.Dir(path)) == "goexif":
				out = append(out, mended(t, path))
			default:
				out = append(out, real{path, sample(t, path)})
			}
		}
	}
	if len(out) < 60 {
		t.Fatalf("only %d real files", len(out))
	}
	return out
}

// mended closes a JPEG that was cut behind its first segments with a frame and a
// scan, because exiftool refuses one that ends in the middle of a segment.
func mended(t testing.TB, path string) real {
	data := sample(t, path)
	at := 2
	for at+4 <= len(data) && data[at] == 0xFF && data[at+1] >= 0xE0 {
		n := 2 + int(binary.BigEndian.Uint16(data[at+2:]))
		if at+n > len(data) {
			break
		}
		at += n
	}
	data = append(data[:at:at], craft.JPEG(sof0, 1600, 1200, 10)[2:]...)
	out := filepath.Join(t.TempDir(), filepath.Base(path))
	if err := os.WriteFile(out, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return real{out, data}
}

// askedAll runs exiftool on all files at once; values by path and "Group:Tag", each
// as printed.
func askedAll(t *testing.T, files []real, tags ...string) map[string]map[string]string {
	t.Helper()
	args := append([]string{"-json", "-G1", "-a"}, tags...)
	for _, f := range files {
		args = append(args, f.path)
	}
	out, err := exec.Command(testneed.Tool(t, "exiftool"), args...).Output()
	if err != nil && len(out) == 0 {
		t.Fatalf("exiftool: %v", err)
	}
	var got []map[string]any
	d := json.NewDecoder(bytes.NewReader(out))
	d.UseNumber()
	if err := d.Decode(&got); err != nil || len(got) != len(files) {
		t.Fatalf("exiftool says %d things of %d files: %v", len(got), len(files), err)
	}
	all := make(map[string]map[string]string)
	for _, g := range got {
		m := make(map[string]string)
		for k, v := range g {
			if s, ok := v.(string); ok {
				m[k] = strings.TrimSpace(s)
			} else if n, ok := v.(json.Number); ok {
				m[k] = n.String()
			}
		}
		all[m["SourceFile"]] = m
	}
	return all
}

// Every preview that exiftool has a place for is one of ours, and the other way
// round, whole or cut off; and what both say of the exposure is the same.
func TestAgreesWithExiftool(t *testing.T) {
	files := realFiles(t)
	answers := askedAll(t, files, "-*Start", "-*Offset", "-*Length",
		"-DateTimeOriginal", "-SubSecTimeOriginal", "-OffsetTimeOriginal", "-SerialNumber", "-ISO",
		"-FNumber#", "-ExposureTime#", "-ExposureCompensation#", "-FocalLength#", "-Orientation#", "-Make", "-Model",
		"-Flash#", "-LensModel", "-ShutterCount", "-FileNumber", "-Software", "-ImageUniqueID", "-ColorSpace#", "-Rating", "-SubjectArea", "-ExifImageWidth", "-ExifImageHeight")
	compared := 0
	for _, r := range files {
		t.Run(filepath.Base(r.path), func(t *testing.T) {
			f, err := located(t, r.data)
			if err != nil {
				t.Fatal(err)
			}
			got := answers[filepath.ToSlash(r.path)]
			compared += samePlaces(t, r.data, f, got)
			agree(t, f, got)
		})
	}
	if compared < 50 {
		t.Errorf("only %d places were compared", compared)
	}
}

// samePlaces compares one file and returns how many places it held.
func samePlaces(t *testing.T, data []byte, f *raw.File, got map[string]string) int {
	t.Helper()
	pairs := map[string]string{
		"ThumbnailOffset": "ThumbnailLength", "PreviewImageStart": "PreviewImageLength",
		"JpgFromRawStart": "JpgFromRawLength", "OtherImageStart": "OtherImageLength",
	}
	ours := map[string]bool{}
	for _, p := range f.Previews {
		// The file itself, and the value of Panasonic's tag, have no offset tag.
		if p.Offset != 0 && !(f.Kind == "RW2" && p.Offset == 1536) {
			ours[strconv.FormatInt(p.Offset, 10)+"+"+strconv.FormatInt(p.Length, 10)] = true
		}
	}
	compared := 0
	for name, off := range got {
		group, tag, _ := strings.Cut(name, ":")
		length, ok := got[group+":"+pairs[tag]]
		if pairs[tag] == "" || !ok || length == "0" {
			continue
		}
		at, _ := strconv.ParseInt(off, 10, 64)
		if at < int64(len(data)) && !bytes.HasPrefix(data[at:], []byte{0xFF, 0xD8}) {
			continue // nothing there
		}
		if !ours[off+"+"+length] {
			t.Errorf("exiftool has %s at %s+%s, we have %v %v", name, off, length, ours, f.Problems)
		}
		delete(ours, off+"+"+length)
		compared++
	}
	for place := range ours {
		t.Errorf("a preview at %s that exiftool does not name: %v", place, got)
	}
	return compared
}

// agree compares what exiftool printed, from the directories that ours come from.
func agree(t *testing.T, f *raw.File, got map[string]string) {
	t.Helper()
	m := f.Meta
	pick := func(tag string, groups ...string) string {
		for _, g := range groups {
			if v := got[g+":"+tag]; v != "" {
				return v
			}
		}
		return ""
	}
	text := func(what, ours, theirs string) {
		if ours != theirs && theirs != "" {
			t.Errorf("%s: %q, exiftool %q", what, ours, theirs)
		}
	}
	number := func(what string, ours float64, theirs string) {
		v, err := strconv.ParseFloat(theirs, 64)
		if err != nil {
			return // "undef", "inf"
		}
		if math.Abs(ours-v) > 1e-6*math.Max(1, math.Abs(v)) {
			t.Errorf("%s: %v, exiftool %s", what, ours, theirs)
		}
	}
	stamp := pick("DateTimeOriginal", "ExifIFD", "IFD0")
	want := exif.ParseTime(stamp, pick("SubSecTimeOriginal", "ExifIFD", "IFD0"), pick("OffsetTimeOriginal", "ExifIFD"))
	if want.Known() && m.Taken != want {
		t.Errorf("time: %+v, exiftool %+v", m.Taken, want)
	}
	text("make", m.Make, pick("Make", "IFD0"))
	text("model", m.Model, pick("Model", "IFD0"))
	text("software", m.Software, pick("Software", "IFD0"))
	text("lens", m.Lens, pick("LensModel", "ExifIFD"))
	// Nikon's older tag puts "NO= " before the number.
	serial := pick("SerialNumber", "ExifIFD", "IFD0", "Canon", "Nikon", "Pentax", "Olympus")
	text("serial", m.Serial, strings.TrimPrefix(strings.TrimPrefix(serial, "No= "), "NO= "))
	text("unique id", m.UniqueID, pick("ImageUniqueID", "ExifIFD"))
	number("ISO", float64(m.ISO), pick("ISO", "ExifIFD"))
	number("f-number", m.FNumber, pick("FNumber", "ExifIFD"))
	number("exposure", m.Seconds, pick("ExposureTime", "ExifIFD"))
	number("focal length", m.FocalLength, pick("FocalLength", "ExifIFD"))
	number("orientation", float64(m.Orientation), pick("Orientation", "IFD0"))
	number("counter", float64(m.Counter), strings.ReplaceAll(pick("FileNumber", "Canon"), "-", ""))
	number("counter", float64(m.Counter), pick("ShutterCount", "Nikon"))
	if v := pick("ExposureCompensation", "ExifIFD"); v != "" && m.Bias != nil {
		number("bias", *m.Bias, v)
	}
	if v := pick("SubjectArea", "ExifIFD"); v != "" {
		theirs := strings.Fields(v)
		for i, ours := range []int{m.Subject.X, m.Subject.Y} {
			// What Exif calls the width may not be that of the file any more.
			side, full := []string{"ExifImageWidth", "ExifImageHeight"}[i], []int{m.Width, m.Height}[i]
			at, _ := strconv.Atoi(theirs[i])
			if of, _ := strconv.Atoi(pick(side, "ExifIFD")); of > 0 {
				at = at * full / of
			}
			if m.Subject.Given && ours != at {
				t.Errorf("subject: %+v in %dx%d, exiftool %s", m.Subject, m.Width, m.Height, v)
			}
		}
	}
	space := pick("ColorSpace", "ExifIFD")
	if space == "1" && m.ColorSpace != "sRGB" || space == "65535" && m.ColorSpace != "uncalibrated" && m.ColorSpace != "Adobe RGB" {
		t.Errorf("colour space: %q, exiftool %s", m.ColorSpace, space)
	}
	if v, err := strconv.Atoi(pick("Rating", "IFD0", "XMP-xmp")); err == nil && v <= 5 {
		number("rating", float64(m.Rating), strconv.Itoa(v))
	}
	if v, err := strconv.Atoi(pick("Flash", "ExifIFD")); err == nil && (v&1 == 1) != (m.Flash == exif.FlashFired) {
		t.Errorf("flash: %v, exiftool %d", m.Flash, v)
	}
}

// The reference decoder takes the same JPEG out. It puts an Exif header of its own
// before it, so what is compared begins with the first scan.
func TestLargestAgreesWithSimpleDcraw(t *testing.T) {
	tool := testneed.Tool(t, "simple_dcraw")
	for _, c := range []struct {
		name string
		size int64 // the length that the file had before its sensor data was cut off; 0 = as it is
	}{{"NEF.exif", 28842901}, {"ARW.exif", 17474560}, {"CRW.CRW", 0}} {
		t.Run(c.name, func(t *testing.T) {
			data := wholeModule(t, c.name)
			f, err := located(t, data)
			if err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(t.TempDir(), c.name)
			if err := os.WriteFile(path, data, 0o600); err != nil {
				t.Fatal(err)
			}
			if c.size > 0 {
				if err := os.Truncate(path, c.size); err != nil {
					t.Fatal(err)
				}
			}
			if out, err := exec.Command(tool, "-e", path).CombinedOutput(); err != nil {
				t.Fatalf("simple_dcraw: %v\n%s", err, out)
			}
			theirs := sample(t, path+".thumb.jpg")
			p := f.Previews[0]
			a, b := fromScan(t, data[p.Offset:p.Offset+p.Length]), fromScan(t, theirs)
			// Its output may keep filling behind the picture's end.
			if len(a) == 0 || !bytes.HasPrefix(b, bytes.TrimRight(a, "\x00")) {
				t.Errorf("%d bytes of scan, theirs %d: not the same picture", len(a), len(b))
			}
		})
	}
}

func fromScan(t *testing.T, jpeg []byte) []byte {
	t.Helper()
	src := bin.NewSource(bytes.NewReader(jpeg), int64(len(jpeg)), 64, 1<<20)
	info, err := marker.Walk(src, 0, int64(len(jpeg)))
	if err != nil {
		t.Fatal(err)
	}
	return jpeg[info.Scan:]
}
