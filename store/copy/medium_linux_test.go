package copy_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/store/copy"
	"garner/store/vfs"
)

// fetched is how many bytes this process has had fetched from storage devices:
// read_bytes of proc(5), /proc/pid/io, which reads from the cache leave alone.
func fetched(t *testing.T) (n int64) {
	t.Helper()
	b, err := os.ReadFile("/proc/self/io")
	if err != nil {
		t.Skipf("needs /proc/self/io: %v", err)
	}
	for line := range bytes.Lines(b) {
		if s, ok := strings.CutPrefix(string(line), "read_bytes: "); ok {
			if _, err := fmt.Sscan(s, &n); err != nil {
				t.Fatal(err)
			}
			return n
		}
	}
	t.Skip("needs the kernel to count what is fetched")
	return 0
}

// Read-back comes from the medium: as many bytes as the targets have are fetched
// from it, though all of them were in the cache when they had been written.
func TestReadBackComesFromTheMedium(t *testing.T) {
	dir := t.TempDir()
	m, err := vfs.MountOf(dir)
	if err != nil || !strings.HasPrefix(m.Source, "/dev/") || strings.HasPrefix(m.Type, "fuse") {
		t.Skipf("needs a block device under the folder for temporary files: %+v, %v", m, err)
	}
	const size = 12 << 20
	src := filepath.Join(dir, "a.NEF")
	if err := os.WriteFile(src, content(size), 0o644); err != nil {
		t.Fatal(err)
	}
	job := copy.Job{Source: src, Dests: []string{filepath.Join(dir, "1", "a.NEF"), filepath.Join(dir, "2", "a.NEF")}}
	before := fetched(t)
	if _, err := os.ReadFile(src); err != nil {
		t.Fatal(err)
	}
	if n := fetched(t) - before; n >= size {
		t.Fatalf("reading a file that was just written fetched %d bytes: the count shows nothing here", n)
	}
	for _, want := range []copy.State{copy.Copied, copy.Present} {
		before := fetched(t)
		res, err := run(t, vfs.OS{}, job)
		if err != nil {
			t.Fatal(err)
		}
		n := fetched(t) - before
		if n < 2*size {
			t.Errorf("%v: %d bytes were fetched, the targets have %d", want, n, 2*size)
		}
		for _, d := range res.Dests {
			if d.State != want || !d.Bypassed {
				t.Errorf("%+v", d)
			}
		}
	}
}
