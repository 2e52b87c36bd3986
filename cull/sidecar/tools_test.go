package sidecar

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// TestExiftoolReads: the reference tool sees a decision come, change and go,
// beside what it wrote itself, without a warning.
func TestExiftoolReads(t *testing.T) {
	tool := testneed.Tool(t, "exiftool")
	path := filepath.Join(t.TempDir(), "IMG_0001.xmp")
	run := func(args ...string) string {
		t.Helper()
		out, err := exec.Command(tool, append(args, path)...).CombinedOutput()
		if err != nil {
			t.Fatalf("%q: %v\n%s", args, err, out)
		}
		return string(out)
	}
	run("-q", "-XMP-dc:Title=first", "-XMP-dc:Subject=bride", "-XMP-xmp:Label=Green")
	var last *Values
	for _, c := range []struct {
		want Values
		read string
	}{
		{keep(noon), "1|True|03|A|2026:06:13 12:00:00+02:00|first|bride|Green"},
		{drop(one), "-1|False|03|A|2026:06:13 13:00:00+02:00|first|bride|Green"},
		{open(one), "|||||first|bride|Green"},
	} {
		old, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		got := Merge(Request{Old: old, Want: c.want, Last: last})
		last = &got.Wrote
		if err := os.WriteFile(path, got.Bytes, 0o644); err != nil {
			t.Fatal(err)
		}
		read := run("-m", "-f", "-n", "-p", "$XMP-xmp:Rating|$XMP-xmpDM:Good|$XMP-xmpDM:Scene|$XMP-xmpDM:CameraLabel|"+
			"$XMP-xmp:MetadataDate|$XMP-dc:Title|$XMP-dc:Subject|$XMP-xmp:Label")
		read = strings.ReplaceAll(strings.TrimSpace(read), "-|", "|") // "-" stands for absent
		if !strings.EqualFold(read, c.read) {
			t.Errorf("%s: exiftool reads %q, want %q", got.Action, read, c.read)
		}
		if says := strings.TrimSpace(run("-validate", "-warning", "-error", "-a", "-s3")); says != "OK" {
			t.Errorf("%s: exiftool says %s", got.Action, says)
		}
	}
}

// TestSamples merges a decision into real sidecars and takes it back: the bytes
// are the old ones wherever there was no rating before.
func TestSamples(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(testneed.Samples(t), "xmp", "*.xmp"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%d samples, %v", len(files), err)
	}
	asked := keep(noon)
	asked.Keywords = []string{"album"}
	for _, file := range files {
		old, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Base(file)
		want := map[string]Action{
			"exiv2_issue_1821_poc.xmp": Failed,   // no XMP
			"et_shorthand_attr.xmp":    Conflict, // rated 4
			"exempi_test1.xmp":         Conflict, // rated 3
			"test1_UTF-16BE.xmp":       Conflict, // rated 3
			"exiftool_XMP2.xmp":        Conflict, // dc:subject is no list
		}[name]
		if want == "" {
			want = Merged
		}
		r := Request{Old: old, Want: asked}
		got := Merge(r)
		if got.Action != want {
			t.Errorf("%s: %s (%s), want %s", name, got.Action, got.Reason, want)
			continue
		}
		if want == Failed {
			continue
		}
		stable(t, r, got)
		back := Merge(Request{Old: got.Bytes, Want: open(one), Last: &got.Wrote})
		if back.Action != Withdrawn || string(back.Bytes) != string(old) {
			t.Errorf("%s: taken back: %s (%s)", name, back.Action, back.Reason)
		}
	}
}
