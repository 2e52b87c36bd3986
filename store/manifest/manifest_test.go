package manifest_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/store/manifest"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
	"garner/testdata/testneed"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// Names that sha256sum writes in its own way, and some that it does not.
func oddNames() []string {
	return []string{
		"A/IMG_0001.CR3", "with space", " leading", "trailing ", "back\\slash", "new\nline", "both\\\n", "\\n", "carriage\rreturn\r",
		"*star", "-", "-c", "not utf-8 \xff\xfe", "\x1b[31mred", "Gärten/\u202eevil", "#hash", "'quote\"",
	}
}

func TestIsWhatSha256sumReads(t *testing.T) {
	tool := testneed.Tool(t, "sha256sum")
	root := t.TempDir()
	sums := map[string]manifest.Sum{}
	for _, name := range oddNames() {
		path := filepath.Join(root, name)
		must(t, os.MkdirAll(filepath.Dir(path), 0o777))
		must(t, os.WriteFile(path, []byte(name), 0o666))
		sums[name] = sha256.Sum256([]byte(name))
	}
	must(t, manifest.Add(vfs.OS{}, filepath.Join(root, ".garner", "sums.txt"), sums))
	check := func() (string, error) {
		cmd := exec.Command(tool, "--check", "--strict", "--quiet", ".garner/sums.txt")
		cmd.Dir = root
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := check(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	must(t, os.WriteFile(filepath.Join(root, "new\nline"), []byte("other"), 0o666))
	if out, err := check(); err == nil {
		t.Errorf("a changed file passes: %s", out)
	}

	// And the other way round: what sha256sum writes.
	names := oddNames()
	for i, name := range names {
		names[i] = "./" + name
	}
	cmd := exec.Command(tool, names...)
	cmd.Dir = root
	out, err := cmd.Output()
	must(t, err)
	got, err := manifest.Read(bytes.NewReader(out))
	must(t, err)
	sums["new\nline"] = sha256.Sum256([]byte("other"))
	if d := cmp.Diff(sums, got); d != "" {
		t.Error(d)
	}
}

func TestLines(t *testing.T) {
	digits := strings.Repeat("0a", 32)
	for line, want := range map[string]string{
		digits + "  a":                      "a",
		digits + " *a":                      "a",
		strings.ToUpper(digits) + "  ./a":   "a",
		digits + "  ././-":                  "-",
		`\` + digits + `  a\\b\nc\rd`:       "a\\b\nc\rd",
		digits + `  a\nb`:                   `a\nb`,
		digits + "  a\r":                    "a\r",
		digits + " a":                       "",
		digits + "  ":                       "",
		digits + "  ./":                     "",
		digits[1:] + "x  a":                 "",
		digits[2:] + "  a":                  "",
		`\` + digits + `  a\tb`:             "",
		`\` + digits + `  a\`:               "",
		digits + "  " + "a\n" + digits + "": "",
	} {
		sums, err := manifest.Read(strings.NewReader(line))
		_, got := sums[want]
		if (want != "") != (err == nil && got && len(sums) == 1) {
			t.Errorf("%q: %q, %v", line, sums, err)
		}
	}
	twice := digits + "  a\n" + strings.Repeat("0b", 32) + "  a\n"
	if _, err := manifest.Read(strings.NewReader(twice)); err == nil {
		t.Error("two sums for one file")
	}
}

// endless is a file without an end.
type endless struct {
	line string
	at   int
}

func (e *endless) Read(p []byte) (int, error) {
	n := 0
	for n < len(p) {
		c := copy(p[n:], e.line[e.at:])
		n, e.at = n+c, (e.at+c)%len(e.line)
	}
	return n, nil
}

func TestReadingIsBounded(t *testing.T) {
	for _, line := range []string{strings.Repeat("x", 4000), strings.Repeat("0a", 32) + "  " + strings.Repeat("n", 100_000) + "\n"} {
		if sums, err := manifest.Read(&endless{line: line}); err == nil || sums != nil {
			t.Errorf("lines of %d bytes without end: %v", len(line), err)
		}
	}
}

func TestWriteRefusesWhatReadWould(t *testing.T) {
	for _, name := range []string{"", strings.Repeat("\n", 64<<10)} {
		if err := manifest.Write(io.Discard, map[string]manifest.Sum{name: {}}); err == nil {
			t.Errorf("a name of %d bytes was written", len(name))
		}
	}
}

func TestAdd(t *testing.T) {
	const path = "/disk/.garner/manifest-sha256.txt"
	m := vfstest.New(vfstest.Options{})
	if sums, err := manifest.Load(m, path); err != nil || sums == nil || len(sums) != 0 {
		t.Errorf("a missing manifest: %v, %v", sums, err)
	}
	must(t, manifest.Add(m, path, map[string]manifest.Sum{"a": {1}, "b": {2}}))
	must(t, manifest.Add(m, path, map[string]manifest.Sum{"b": {3}, "c": {4}}))
	sums, err := manifest.Load(m, path)
	must(t, err)
	if d := cmp.Diff(map[string]manifest.Sum{"a": {1}, "b": {3}, "c": {4}}, sums); d != "" {
		t.Error(d)
	}

	m.Put(path, []byte("nonsense\n"))
	err = manifest.Add(m, path, map[string]manifest.Sum{"a": {1}})
	if b, _ := m.Get(path); err == nil || string(b) != "nonsense\n" || !strings.Contains(err.Error(), path+": line 1") {
		t.Errorf("a manifest that can't be read: %v, %q", err, b)
	}
	m.Inject(vfstest.Fault{Op: vfstest.OpOpen, Err: syscall.EACCES})
	if _, err := manifest.Load(m, path); !errors.Is(err, fs.ErrPermission) {
		t.Errorf("%v", err)
	}
}

// A power failure at any moment leaves the old manifest or the new one.
func TestAddIsAtomic(t *testing.T) {
	const path = "/disk/.garner/manifest-sha256.txt"
	add := map[string]manifest.Sum{"b": {2}}
	start := func() *vfstest.Mem {
		m := vfstest.New(vfstest.Options{})
		must(t, manifest.Add(m, path, map[string]manifest.Sum{"a": {1}}))
		return m
	}
	m := start()
	before := m.Count("")
	must(t, manifest.Add(m, path, add))
	points := m.Count("") - before
	for n := range points + 1 {
		m := start()
		m.PowerOffAfter(n)
		failed := manifest.Add(m, path, add)
		for seed := range uint64(20) {
			c := m.CrashClone(rand.New(rand.NewPCG(seed, uint64(n))))
			sums, err := manifest.Load(c, path)
			if err != nil || sums["a"] != (manifest.Sum{1}) || failed == nil && sums["b"] != (manifest.Sum{2}) {
				t.Errorf("power off after %d of %d operations, seed %d: %v, %v (Add: %v)", n, points, seed, sums, err, failed)
			}
		}
	}
}

// FuzzRead: what can be read is written so that it reads the same again.
func FuzzRead(f *testing.F) {
	for _, name := range oddNames() {
		var b bytes.Buffer
		must(f, manifest.Write(&b, map[string]manifest.Sum{name: {9}}))
		f.Add(b.Bytes())
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		sums, err := manifest.Read(bytes.NewReader(b))
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
		must(t, manifest.Write(&out, sums))
		again, err := manifest.Read(&out)
		if d := cmp.Diff(sums, again); err != nil || d != "" {
			t.Fatal(err, d)
		}
	})
}
