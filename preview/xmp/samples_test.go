package xmp

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"garner/testdata/testneed"
)

// garnish is what a decision writes.
var garnish = []Edit{
	{NS: NSXMP, Prefix: "xmp", Name: "Rating", Value: "1"},
	{NS: NSXMPDM, Prefix: "xmpDM", Name: "good", Value: "True"},
	{NS: NSXMPDM, Prefix: "xmpDM", Name: "scene", Value: "01 Köln & <Dom>"},
	{NS: NSXMPDM, Prefix: "xmpDM", Name: "cameraLabel", Value: "A"},
	{NS: NSXMP, Prefix: "xmp", Name: "MetadataDate", Value: "2026-06-13T14:02:11+02:00"},
	addAlbum,
}

// sampleFiles are sidecars of other programs' test suites and what is to be
// expected of each.
var sampleFiles = map[string]struct {
	unreadable bool // not XMP at all
	noSubject  bool // dc:subject is no list there
	noExiftool bool // the reference tool refuses the file as it is
}{
	"et_shorthand_attr.xmp":      {},
	"exempi_test1.xmp":           {},
	"exiftool_XMP2.xmp":          {noSubject: true}, // rdf:nodeID; a control character in the packet header
	"exiftool_XMP3.xmp":          {},
	"exiftool_XMP5.xmp":          {},
	"exiftool_XMP7.xmp":          {},
	"exiv2_exiv2-pre-in-xmp.xmp": {},
	"exiv2_issue_1821_poc.xmp":   {unreadable: true},
	"test1_UTF-16BE.xmp":         {noExiftool: true},
}

// TestSamples merges into every sample file.
func TestSamples(t *testing.T) {
	dir := filepath.Join(testneed.Samples(t), "xmp")
	for name, want := range sampleFiles {
		t.Run(name, func(t *testing.T) {
			in, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			d, err := Parse(in)
			if want.unreadable {
				var format *FormatError
				if !errors.As(err, &format) {
					t.Fatalf("Parse: %v, want a format error", err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			edits := garnish
			if want.noSubject {
				var refused *PropertyError
				if _, err := d.Apply(edits); !errors.As(err, &refused) {
					t.Errorf("dc:subject: %v", err)
				}
				edits = edits[:len(edits)-1]
			}
			out, err := d.Apply(edits)
			if err != nil {
				t.Fatal(err)
			}
			onlyOurs(t, plainText(in), plainText(out))
			if again, err := Parse(out); err != nil {
				t.Error(err)
			} else if twice, err := again.Apply(edits); err != nil || string(twice) != string(out) {
				t.Errorf("the second time changes something: %v", err)
			}
			path := write(t, out)
			if want.noExiftool {
				readWithExempi(t, path)
				return
			}
			readWithExiftool(t, path, !want.noSubject)
		})
	}
}

// TestToolsSidecars merges into sidecars that the reference tools write.
func TestToolsSidecars(t *testing.T) {
	exiftool := testneed.Tool(t, "exiftool")
	for name, args := range map[string][]string{
		"elements":   {"-xmp:rating=3", "-xmp:subject=a", "-xmp:title=t"},
		"attributes": {"-api", "compact=shorthand", "-xmp:rating=3", "-xmp:subject=a"},
		"compact":    {"-api", "compact=all", "-xmp:rating=3", "-xmp:label=a"},
		"others":     {"-xmp-tiff:make=a", "-xmp-exif:flashfired=true"},
	} {
		path := filepath.Join(t.TempDir(), "a.xmp")
		run(t, exiftool, append([]string{"-q", "-o", path}, args...)...)
		merged := mergeFile(t, path)
		readWithExiftool(t, merged, true)
		t.Logf("%s: merged", name)
	}
	exiv2 := testneed.Tool(t, "exiv2")
	for _, args := range [][]string{{"-Mset Xmp.xmp.Rating 3", "-Mset Xmp.dc.subject a"}, {"-Mset Xmp.tiff.Make a"}} {
		fresh, err := New()
		if err != nil {
			t.Fatal(err)
		}
		path := write(t, fresh.Bytes())
		run(t, exiv2, append(args, path)...)
		merged := mergeFile(t, path)
		readWithExiftool(t, merged, true)
		readWithExiv2(t, merged)
	}
}

// TestFreshSidecar: each reference tool reads what New and Apply make.
func TestFreshSidecar(t *testing.T) {
	d, err := New(Namespace{NSXMP, "xmp"}, Namespace{NSXMPDM, "xmpDM"}, Namespace{NSDC, "dc"})
	if err != nil {
		t.Fatal(err)
	}
	out, err := d.Apply(garnish)
	if err != nil {
		t.Fatal(err)
	}
	path := write(t, out)
	readWithExiftool(t, path, true)
	readWithExiv2(t, path)
	readWithExempi(t, path)
}

func mergeFile(t *testing.T, path string) string {
	t.Helper()
	in, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	d, err := Parse(in)
	if err != nil {
		t.Fatal(err)
	}
	out, err := d.Apply(garnish)
	if err != nil {
		t.Fatal(err)
	}
	onlyOurs(t, string(in), string(out))
	return write(t, out)
}

// onlyOurs compares two documents byte for byte: with our properties cut out of
// the new one, and an old rating put back, it is the old one.
func onlyOurs(t *testing.T, before, after string) {
	t.Helper()
	rating := regexp.MustCompile(`([<\s]\w+:Rating(?:>|=["']))([^<"']*)`)
	if old := rating.FindStringSubmatch(before); old != nil {
		after = rating.ReplaceAllString(after, "${1}"+old[2])
	} else {
		after = drop(after, `\s*<xmp:Rating[^>]*>1</xmp:Rating>`)
	}
	after = drop(after, `\s*<(xmpDM:good|xmpDM:scene|xmpDM:cameraLabel|x[am]p:MetadataDate)( xmlns:\w+=["'][^"']*["'])?>[^<]*</[\w:]+>`)
	after = drop(after, `\s*<rdf:li>(album|a&amp;b)</rdf:li>`)
	if !strings.Contains(before, ":subject") {
		after = drop(after, `\s*<\w+:subject[^>]*>\s*<rdf:Bag>\s*</rdf:Bag>\s*</\w+:subject>`)
	}
	after = drop(after, `\s*<rdf:Description rdf:about=(""|'')>\s*</rdf:Description>`)
	if before != after {
		t.Errorf("other bytes changed:\n%s\nbefore:\n%s", after, before)
	}
}

func drop(s, pattern string) string { return regexp.MustCompile(pattern).ReplaceAllString(s, "") }

// plainText decodes a sample that may be UTF-16BE without a mark.
func plainText(b []byte) string {
	if len(b) < 2 || b[0] != 0 {
		return string(b)
	}
	var units []uint16
	for i := 0; i+1 < len(b); i += 2 {
		units = append(units, uint16(b[i])<<8|uint16(b[i+1]))
	}
	return string(utf16.Decode(units))
}

func write(t *testing.T, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "frame.xmp")
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func run(t *testing.T, tool string, args ...string) string {
	t.Helper()
	out, err := exec.Command(tool, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %q: %v\n%s", tool, args, err, out)
	}
	return string(out)
}

func readWithExiftool(t *testing.T, path string, subject bool) {
	t.Helper()
	got := run(t, testneed.Tool(t, "exiftool"), "-charset", "utf8", "-G1", "-s", "-n", "-a", "-validate", "-warning", "-error",
		"-XMP-xmp:all", "-XMP-xmpDM:all", "-XMP-dc:subject", path)
	want := map[string]string{"Validate": "0 0 0", "Rating": "1", "Good": "True", "Scene": "01 Köln & <Dom>",
		"CameraLabel": "A", "MetadataDate": "2026:06:13 14:02:11+02:00"}
	if subject {
		want["Subject"] = "album, a&b"
	}
	for line := range strings.Lines(got) {
		key, value, _ := strings.Cut(line, ":")
		_, key, _ = strings.Cut(key, "]")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		switch w, ok := want[key]; {
		case key == "Warning", key == "Error":
			t.Errorf("exiftool says %s", line)
		case ok && (strings.EqualFold(value, w) || key == "Subject" && strings.HasSuffix(value, w)):
			delete(want, key)
		}
	}
	if len(want) > 0 {
		t.Errorf("exiftool does not read %q:\n%s", want, got)
	}
}

func readWithExiv2(t *testing.T, path string) {
	t.Helper()
	got := run(t, testneed.Tool(t, "exiv2"), "-PXkv", path)
	for key, want := range map[string]string{"Xmp.xmp.Rating": "1", "Xmp.xmpDM.good": "True", "Xmp.xmpDM.scene": "01 Köln & <Dom>",
		"Xmp.xmpDM.cameraLabel": "A", "Xmp.xmp.MetadataDate": "2026-06-13T14:02:11+02:00"} {
		found := false
		for line := range strings.Lines(got) {
			k, v, _ := strings.Cut(line, " ")
			found = found || k == key && strings.TrimSpace(v) == want
		}
		if !found {
			t.Errorf("exiv2 does not read %s = %q:\n%s", key, want, got)
		}
	}
	if !strings.Contains(got, "album, a&b\n") {
		t.Errorf("exiv2 does not read the keywords:\n%s", got)
	}
}

func readWithExempi(t *testing.T, path string) {
	t.Helper()
	tool := testneed.Tool(t, "exempi")
	for key, want := range map[string]string{"xmp:Rating": "1", "xmpDM:good": "True", "xmpDM:scene": "01 Köln & <Dom>",
		"xmpDM:cameraLabel": "A", "xmp:MetadataDate": "2026-06-13T14:02:11+02:00", "dc:subject[last()]": "a&b"} {
		if got := strings.TrimSpace(run(t, tool, "-X", "-g", key, path)); got != want {
			t.Errorf("exempi reads %s = %q, want %q", key, got, want)
		}
	}
}
