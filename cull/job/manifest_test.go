package job_test

import (
	"bytes"
	"crypto/sha256"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/cull/job"
	"garner/testdata/testneed"
)

// Names that sha256sum writes in its own way, and some that it does not.
func oddNames() []string {
	return []string{
		"A/IMG_0001.CR3", "with space", " leading", "trailing ", "back\\slash", "new\nline", "both\\\n", "\\n", "carriage\rreturn\r",
		"*star", "-", "-c", "not utf-8 \xff\xfe", "\x1b[31mred", "Gärten/\u202eevil", "#hash", "'quote\"",
	}
}

func TestManifestIsWhatSha256sumReads(t *testing.T) {
	tool := testneed.Tool(t, "sha256sum")
	j := sample(t, 0)
	sums := map[string]job.Sum{}
	for _, name := range oddNames() {
		path := filepath.Join(j.Root(), name)
		must(t, os.MkdirAll(filepath.Dir(path), 0o777))
		must(t, os.WriteFile(path, []byte(name), 0o666))
		sums[name] = sha256.Sum256([]byte(name))
	}
	must(t, j.RecordManifest(sums))
	check := func() (string, error) {
		cmd := exec.Command(tool, "--check", "--strict", "--quiet", ".garner/manifest-sha256.txt")
		cmd.Dir = j.Root()
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := check(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	must(t, os.WriteFile(filepath.Join(j.Root(), "new\nline"), []byte("other"), 0o666))
	if out, err := check(); err == nil {
		t.Errorf("a changed file passes: %s", out)
	}

	// And the other way round: what sha256sum writes.
	names := oddNames()
	for i, name := range names {
		names[i] = "./" + name
	}
	cmd := exec.Command(tool, names...)
	cmd.Dir = j.Root()
	out, err := cmd.Output()
	must(t, err)
	got, err := job.ReadManifest(bytes.NewReader(out))
	must(t, err)
	sums["new\nline"] = sha256.Sum256([]byte("other"))
	if d := cmp.Diff(sums, got); d != "" {
		t.Error(d)
	}
}

func TestManifestChanges(t *testing.T) {
	j := sample(t, 0)
	if sums, err := j.Manifest(); err != nil || len(sums) != 0 {
		t.Errorf("%v %v", sums, err)
	}
	must(t, j.RecordManifest(map[string]job.Sum{"a": {1}, "b": {2}, "c": {3}}))
	must(t, j.RecordManifest(map[string]job.Sum{"b": {4}}))
	must(t, j.RenameManifest(map[string]string{"a": "b", "b": "a", "c": "", "none": "d"}))
	sums, err := j.Manifest()
	must(t, err)
	if d := cmp.Diff(map[string]job.Sum{"b": {1}, "a": {4}}, sums); d != "" {
		t.Error(d)
	}
	must(t, os.WriteFile(filepath.Join(j.StateDir(), "manifest-sha256.txt"), []byte("nonsense\n"), 0o666))
	if _, err := j.Manifest(); err == nil || !strings.Contains(err.Error(), "manifest-sha256.txt: line 1") {
		t.Errorf("%v", err)
	}
	if err := j.RecordManifest(map[string]job.Sum{"a": {1}}); err == nil {
		t.Error("a manifest that can't be read was replaced")
	}
}

func TestManifestLines(t *testing.T) {
	digits := strings.Repeat("0a", 32)
	for line, want := range map[string]string{
		digits + "  a":                      "a",
		digits + " *a":                      "a",
		strings.ToUpper(digits) + "  ./a":   "a",
		`\` + digits + `  a\\b\nc\rd`:       "a\\b\nc\rd",
		digits + `  a\nb`:                   `a\nb`,
		digits + "  a\r":                    "a\r",
		digits + " a":                       "",
		digits + "  ":                       "",
		digits[1:] + "x  a":                 "",
		digits[2:] + "  a":                  "",
		`\` + digits + `  a\tb`:             "",
		`\` + digits + `  a\`:               "",
		digits + "  " + "a\n" + digits + "": "",
	} {
		sums, err := job.ReadManifest(strings.NewReader(line))
		_, got := sums[want]
		if (want != "") != (err == nil && got && len(sums) == 1) {
			t.Errorf("%q: %q, %v", line, sums, err)
		}
	}
	twice := digits + "  a\n" + strings.Repeat("0b", 32) + "  a\n"
	if _, err := job.ReadManifest(strings.NewReader(twice)); err == nil {
		t.Error("two sums for one file")
	}
}

// FuzzManifest: what can be read is written so that it reads the same again.
func FuzzManifest(f *testing.F) {
	for _, name := range oddNames() {
		var b bytes.Buffer
		must(f, job.WriteManifest(&b, map[string]job.Sum{name: {9}}))
		f.Add(b.Bytes())
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		sums, err := job.ReadManifest(bytes.NewReader(b))
		if err != nil {
			if sums != nil {
				t.Fatal("sums with an error")
			}
			return
		}
		if len(sums) > len(b)/64 {
			t.Fatalf("%d sums in %d bytes", len(sums), len(b))
		}
		var out bytes.Buffer
		must(t, job.WriteManifest(&out, sums))
		again, err := job.ReadManifest(&out)
		if d := cmp.Diff(sums, again); err != nil || d != "" {
			t.Fatal(err, d)
		}
	})
}
