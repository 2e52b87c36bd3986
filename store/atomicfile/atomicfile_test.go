package atomicfile_test

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"garner/store"
	"garner/store/atomicfile"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

var errFault = syscall.ENOSPC

func get(t *testing.T, m *vfstest.Mem, name string) string {
	t.Helper()
	b, ok := m.Get(name)
	if !ok {
		return "(missing)"
	}
	return string(b)
}

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "IMG_0001.xmp")
	for _, content := range []string{"first", "second, longer", "", "third"} {
		if err := atomicfile.WriteFile(vfs.OS{}, path, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
		if b, err := os.ReadFile(path); err != nil || string(b) != content {
			t.Errorf("%q, %v, want %q", b, err, content)
		}
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("left behind: %v", entries)
	}
}

func TestPermissions(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows keeps no such bits")
	}
	dir := t.TempDir()
	for _, c := range []struct {
		name           string
		existing, perm fs.FileMode // existing 0: none
		want           fs.FileMode
	}{
		{"new, private", 0, 0o600, 0o600},
		{"new, read-only", 0, 0o400, 0o400},
		{"kept private", 0o600, 0o644, 0o600},
		{"kept open", 0o666, 0o600, 0o666}, // also against the umask
		{"kept read-only", 0o444, 0o644, 0o444},
		{"kept executable", 0o755, 0o644, 0o755},
	} {
		path := filepath.Join(dir, c.name)
		if c.existing != 0 {
			os.WriteFile(path, []byte("old"), 0o600)
			os.Chmod(path, c.existing)
		}
		if err := atomicfile.WriteFile(vfs.OS{}, path, []byte("new"), c.perm); err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		info, err := os.Stat(path)
		if err != nil || info.Mode().Perm() != c.want {
			t.Errorf("%s: %v, %v, want %v", c.name, info.Mode(), err, c.want)
		}
	}
}

// Nobody may read the new content, while it is written, who may not read the old.
func TestPartialIsAsPrivateAsTheFile(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/d/f", []byte("old"))
	if err := m.Chmod("/d/f", 0o600); err != nil {
		t.Fatal(err)
	}
	w, err := atomicfile.Create(m, "/d/f", 0o644)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Discard()
	for _, n := range m.Names("/d") {
		if info, err := m.Stat("/d/" + n); err != nil || info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s: %v, %v", n, info.Mode(), err)
		}
	}
}

func TestLinkStays(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/real/a", []byte("old"))
	m.Put("/d/keep", nil)
	if err := m.Symlink("../real/a", "/d/link"); err != nil {
		t.Fatal(err)
	}
	if err := m.Symlink("/real/later", "/d/dangling"); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"/d/link", "/d/dangling"} {
		if err := atomicfile.WriteFile(m, name, []byte("new"), 0o644); err != nil {
			t.Fatal(err)
		}
		if info, err := m.Lstat(name); err != nil || info.Mode()&fs.ModeSymlink == 0 {
			t.Errorf("%s is no longer a link (%v)", name, err)
		}
	}
	if a, b := get(t, m, "/real/a"), get(t, m, "/real/later"); a != "new" || b != "new" {
		t.Errorf("the links' targets hold %q and %q", a, b)
	}
}

func TestOnlyFilesAreReplaced(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/d/sub/a", []byte("x"))
	if err := atomicfile.WriteFile(m, "/d/sub", []byte("new"), 0o644); !errors.Is(err, store.ErrNotRegular) {
		t.Errorf("replacing a folder: %v", err)
	}
	if err := atomicfile.WriteFile(m, "/no/a", []byte("new"), 0o644); store.Class(err) != store.Missing {
		t.Errorf("in a missing folder: %v", err)
	}
	if names := m.Names("/d"); len(names) != 1 {
		t.Errorf("left behind: %q", names)
	}
}

func TestDiskFullLeavesTheOldFile(t *testing.T) {
	m := vfstest.New(vfstest.Options{Capacity: 100})
	m.Put("/d/f", bytes.Repeat([]byte("o"), 60))
	err := atomicfile.WriteFile(m, "/d/f", bytes.Repeat([]byte("n"), 70), 0o644)
	if store.Class(err) != store.NoSpace {
		t.Errorf("%v", err)
	}
	if s := err.Error(); strings.Count(s, "/d/f") != 1 || strings.Count(s, "write") != 1 {
		t.Errorf("path and operation are not said once: %q", s)
	}
	if got := get(t, m, "/d/f"); got != strings.Repeat("o", 60) {
		t.Errorf("%q", got)
	}
	if names := m.Names("/d"); len(names) != 1 {
		t.Errorf("left behind: %q", names)
	}
}

func TestErrorSticks(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/d/f", []byte("old"))
	m.Inject(vfstest.Fault{Op: vfstest.OpWrite, N: 2, Err: syscall.EIO})
	w, err := atomicfile.Create(m, "/d/f", 0o644)
	if err != nil {
		t.Fatal(err)
	}
	w.Write([]byte("one"))
	_, first := w.Write([]byte("two"))
	_, second := w.Write([]byte("three")) // the device would take it
	third := w.Commit()
	if first == nil || second != first || third != first || w.Commit() != first {
		t.Errorf("%v, %v, %v", first, second, third)
	}
	if store.Class(first) != store.WriteError {
		t.Errorf("class %v", store.Class(first))
	}
	if get(t, m, "/d/f") != "old" || len(m.Names("/d")) != 1 {
		t.Errorf("%q, %q", get(t, m, "/d/f"), m.Names("/d"))
	}
}

func TestDiscard(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/d/f", []byte("old"))
	w, err := atomicfile.Create(m, "/d/f", 0o644)
	if err != nil {
		t.Fatal(err)
	}
	w.Write([]byte("new"))
	w.Discard()
	w.Discard()
	if get(t, m, "/d/f") != "old" || len(m.Names("/d")) != 1 {
		t.Errorf("%q, %q", get(t, m, "/d/f"), m.Names("/d"))
	}
	if err := w.Commit(); err == nil {
		t.Error("a discarded writer could be committed")
	}
	if _, err := w.Write([]byte("x")); err == nil {
		t.Error("a discarded writer could be written")
	}
}

// After a rename that worked, the partial's name may be somebody else's.
func TestDiscardAfterCommitRemovesNothing(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	w, err := atomicfile.Create(m, "/f", 0o644)
	if err != nil {
		t.Fatal(err)
	}
	w.Write([]byte("new"))
	partial := m.Names("/")[0]
	m.Inject(vfstest.Fault{Op: vfstest.OpSyncDir, Err: syscall.EIO})
	if err := w.Commit(); store.Class(err) != store.WriteError {
		t.Errorf("%v", err)
	}
	m.Put("/"+partial, []byte("somebody's"))
	w.Discard()
	if get(t, m, "/f") != "new" || get(t, m, "/"+partial) != "somebody's" {
		t.Errorf("%q, %q", get(t, m, "/f"), get(t, m, "/"+partial))
	}
}

// A write that says it wrote everything, on a file that is shorter.
func TestLengthIsChecked(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	m.Put("/d/f", []byte("old"))
	m.Inject(vfstest.Fault{Op: vfstest.OpStat, Path: "garner-partial", Do: func(p string) {
		m.Change(p, func(b []byte) []byte { return b[:len(b)-1] })
	}})
	err := atomicfile.WriteFile(m, "/d/f", []byte("new content"), 0o644)
	if !errors.Is(err, store.ErrMismatch) || get(t, m, "/d/f") != "old" {
		t.Errorf("%v, %q", err, get(t, m, "/d/f"))
	}
}

// Two writers of one file: the last to commit wins, whole; neither can publish
// the other's half-written content.
func TestTwoWriters(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	a, err := atomicfile.Create(m, "/f", 0o644)
	if err != nil {
		t.Fatal(err)
	}
	b, err := atomicfile.Create(m, "/f", 0o644)
	if err != nil {
		t.Fatal(err)
	}
	a.Write([]byte("from a"))
	b.Write([]byte("from"))
	if err := a.Commit(); err != nil || get(t, m, "/f") != "from a" {
		t.Errorf("%v, %q", err, get(t, m, "/f"))
	}
	b.Write([]byte(" b"))
	if err := b.Commit(); err != nil || get(t, m, "/f") != "from b" {
		t.Errorf("%v, %q", err, get(t, m, "/f"))
	}
}

// The counts are the price of durability: one sync of the file, one of its
// folder, one rename.
func TestPrice(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	if err := atomicfile.WriteFile(m, "/f", []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	for op, want := range map[vfstest.Op]int{vfstest.OpSync: 1, vfstest.OpSyncDir: 1, vfstest.OpRename: 1, vfstest.OpCreate: 1, vfstest.OpRemove: 0} {
		if got := m.Count(op); got != want {
			t.Errorf("%s: %d times, want %d", op, got, want)
		}
	}
}

func TestNamesThatAreNotUTF8(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	for _, name := range []string{"/caf\xe9.xmp", "/" + strings.Repeat("ä", 127)} {
		if err := atomicfile.WriteFile(m, name, []byte("x"), 0o644); err != nil || get(t, m, name) != "x" {
			t.Errorf("%q: %v", name, err)
		}
	}
}
