package vfstest

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"garner/store"
	"garner/store/vfs"
)

// Subject is a file system to be examined by [Run].
type Subject struct {
	FS      vfs.FS
	Dir     string                        // an empty folder that exists
	Symlink func(text, name string) error // nil where there are no links
	Bytes   bool                          // names may be any bytes, not only UTF-8
	Modes   bool                          // permission bits are kept
}

// Run holds a file system to what vfs.FS and vfs.File promise. Each call of
// subject gives a fresh one.
func Run(t *testing.T, subject func(t *testing.T) Subject) {
	for _, c := range []struct {
		name string
		run  func(t *testing.T, s Subject)
	}{
		{"create", conformCreate}, {"read", conformRead}, {"rename", conformRename}, {"rename new", conformRenameNew},
		{"clone", conformClone}, {"remove", conformRemove}, {"folders", conformFolders}, {"attributes", conformAttributes},
		{"size", conformSize}, {"cache", conformCache}, {"same file", conformSameFile}, {"names", conformNames},
		{"links", conformLinks}, {"partials", conformPartials}, {"surroundings", conformSurroundings},
	} {
		t.Run(c.name, func(t *testing.T) { c.run(t, subject(t)) })
	}
}

func (s Subject) path(name string) string { return filepath.Join(s.Dir, name) }

func (s Subject) write(t *testing.T, name, content string) {
	t.Helper()
	f, err := s.FS.OpenFile(s.path(name), os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o644)
	must(t, err)
	_, err = io.WriteString(f, content)
	must(t, err)
	must(t, f.Sync())
	must(t, f.Close())
}

func (s Subject) read(t *testing.T, name string) string {
	t.Helper()
	f, err := s.FS.Open(s.path(name))
	if errors.Is(err, fs.ErrNotExist) {
		return "(missing)"
	}
	must(t, err)
	defer f.Close()
	b, err := io.ReadAll(f)
	must(t, err)
	return string(b)
}

func (s Subject) expect(t *testing.T, name, content string) {
	t.Helper()
	if got := s.read(t, name); got != content {
		t.Errorf("%s holds %.60q, want %.60q", name, got, content)
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func wantErr(t *testing.T, what string, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Errorf("%s: %v, want %v", what, err, want)
	}
}

func conformCreate(t *testing.T, s Subject) {
	const excl = os.O_RDWR | os.O_CREATE | os.O_EXCL
	f, err := s.FS.OpenFile(s.path("a"), excl, 0o644)
	must(t, err)
	if f.Name() != s.path("a") {
		t.Errorf("name %q", f.Name())
	}
	must(t, f.Close())
	_, err = s.FS.OpenFile(s.path("a"), excl, 0o644)
	wantErr(t, "creating twice", err, fs.ErrExist)
	_, err = s.FS.OpenFile(s.path("no/a"), excl, 0o644)
	wantErr(t, "creating in a missing folder", err, fs.ErrNotExist)
	_, err = s.FS.Open(s.path("b"))
	wantErr(t, "opening a missing file", err, fs.ErrNotExist)
	if err := f.Close(); err == nil {
		t.Error("closing twice went well")
	}
}

func conformRead(t *testing.T, s Subject) {
	s.write(t, "a", "0123456789")
	f, err := s.FS.Open(s.path("a"))
	must(t, err)
	defer f.Close()
	if _, err := f.Write([]byte("x")); err == nil {
		t.Error("writing to a file opened for reading went well")
	}
	b := make([]byte, 4)
	n, err := f.ReadAt(b, 8)
	if n != 2 || err != io.EOF || string(b[:n]) != "89" {
		t.Errorf("ReadAt over the end: %d %v %q", n, err, b[:n])
	}
	if n, err = f.ReadAt(b, 20); n != 0 || err != io.EOF {
		t.Errorf("ReadAt behind the end: %d %v", n, err)
	}
	if _, err = f.ReadAt(b, -1); err == nil {
		t.Error("ReadAt before the beginning went well")
	}
	all, err := io.ReadAll(f)
	if err != nil || string(all) != "0123456789" {
		t.Errorf("reading all after ReadAt: %q %v", all, err)
	}
	if n, err := f.Read(b); n != 0 || err != io.EOF {
		t.Errorf("reading at the end: %d %v", n, err)
	}
}

func conformRename(t *testing.T, s Subject) {
	s.write(t, "a", "new")
	s.write(t, "b", "old")
	must(t, s.FS.Rename(s.path("a"), s.path("b")))
	must(t, s.FS.SyncDir(s.Dir))
	s.expect(t, "a", "(missing)")
	s.expect(t, "b", "new")
	wantErr(t, "renaming what is missing", s.FS.Rename(s.path("a"), s.path("c")), fs.ErrNotExist)
	wantErr(t, "renaming into a missing folder", s.FS.Rename(s.path("b"), s.path("no/b")), fs.ErrNotExist)
	s.expect(t, "b", "new")
}

func conformRenameNew(t *testing.T, s Subject) {
	s.write(t, "a", "new")
	s.write(t, "b", "old")
	err := s.FS.RenameNew(s.path("a"), s.path("b"))
	wantErr(t, "renaming to a taken name", err, fs.ErrExist)
	if c := store.Class(err); c != store.Exists {
		t.Errorf("its class is %v", c)
	}
	s.expect(t, "a", "new")
	s.expect(t, "b", "old")
	must(t, s.FS.RenameNew(s.path("a"), s.path("c")))
	s.expect(t, "a", "(missing)")
	s.expect(t, "c", "new")
	wantErr(t, "renaming what is missing", s.FS.RenameNew(s.path("a"), s.path("d")), fs.ErrNotExist)
	must(t, s.FS.Mkdir(s.path("sub"), 0o755))
	wantErr(t, "renaming to a folder's name", s.FS.RenameNew(s.path("c"), s.path("sub")), fs.ErrExist)
}

func conformClone(t *testing.T, s Subject) {
	s.write(t, "a", "content")
	s.write(t, "taken", "kept")
	if ok, _ := s.FS.Clone(s.path("a"), s.path("taken")); ok {
		t.Error("a clone replaced a file")
	}
	s.expect(t, "taken", "kept")
	ok, err := s.FS.Clone(s.path("a"), s.path("b"))
	must(t, err)
	if !ok {
		s.expect(t, "b", "(missing)")
		return
	}
	s.expect(t, "b", "content")
	f, err := s.FS.OpenFile(s.path("b"), os.O_RDWR, 0)
	must(t, err)
	_, err = f.Write([]byte("C"))
	must(t, err)
	must(t, f.Close())
	s.expect(t, "b", "Content")
	s.expect(t, "a", "content")
}

func conformRemove(t *testing.T, s Subject) {
	s.write(t, "a", "x")
	must(t, s.FS.Remove(s.path("a")))
	wantErr(t, "removing twice", s.FS.Remove(s.path("a")), fs.ErrNotExist)
	must(t, s.FS.Mkdir(s.path("sub"), 0o755))
	s.write(t, "sub/a", "x")
	if s.FS.Remove(s.path("sub")) == nil {
		t.Error("a folder with a file in it was removed")
	}
	s.expect(t, "sub/a", "x")
	must(t, s.FS.Remove(s.path("sub/a")))
	must(t, s.FS.Remove(s.path("sub")))
}

func conformFolders(t *testing.T, s Subject) {
	must(t, vfs.MkdirAll(s.FS, s.path("x/y/z"), 0o755))
	must(t, vfs.MkdirAll(s.FS, s.path("x/y/z"), 0o755))
	wantErr(t, "making a folder twice", s.FS.Mkdir(s.path("x"), 0o755), fs.ErrExist)
	wantErr(t, "making a folder in a missing one", s.FS.Mkdir(s.path("q/r"), 0o755), fs.ErrNotExist)
	s.write(t, "x/b", "1")
	s.write(t, "x/a", "1")
	if err := vfs.MkdirAll(s.FS, s.path("x/a/deeper"), 0o755); err == nil {
		t.Error("a folder was made below a file")
	}
	entries, err := s.FS.ReadDir(s.path("x"))
	must(t, err)
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
		if e.IsDir() != (e.Name() == "y") {
			t.Errorf("%s is a folder: %v", e.Name(), e.IsDir())
		}
	}
	if !slices.Equal(got, []string{"a", "b", "y"}) {
		t.Errorf("listed %q", got)
	}
	_, err = s.FS.ReadDir(s.path("nothing"))
	wantErr(t, "listing a missing folder", err, fs.ErrNotExist)
	must(t, s.FS.SyncDir(s.path("x")))
	wantErr(t, "syncing a missing folder", s.FS.SyncDir(s.path("nothing")), fs.ErrNotExist)
}

func conformAttributes(t *testing.T, s Subject) {
	s.write(t, "a", "12345")
	when := time.Date(2026, 6, 13, 14, 2, 12, 0, time.UTC)
	must(t, s.FS.Chtimes(s.path("a"), when))
	must(t, s.FS.Chmod(s.path("a"), 0o640))
	info, err := s.FS.Stat(s.path("a"))
	must(t, err)
	if !info.ModTime().Equal(when) {
		t.Errorf("time %v, want %v", info.ModTime(), when)
	}
	if info.Size() != 5 || info.Name() != "a" || !info.Mode().IsRegular() {
		t.Errorf("%d bytes, %q, %v", info.Size(), info.Name(), info.Mode())
	}
	if s.Modes && info.Mode().Perm() != 0o640 {
		t.Errorf("mode %v", info.Mode())
	}
	_, err = s.FS.Stat(s.path("b"))
	wantErr(t, "Stat of a missing file", err, fs.ErrNotExist)
	wantErr(t, "Chtimes of a missing file", s.FS.Chtimes(s.path("b"), when), fs.ErrNotExist)
}

func conformSize(t *testing.T, s Subject) {
	f, err := s.FS.OpenFile(s.path("a"), os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o644)
	must(t, err)
	defer f.Close()
	must(t, f.Preallocate(0))
	must(t, f.Preallocate(100_000))
	size := func(want int64) {
		t.Helper()
		info, err := f.Stat()
		must(t, err)
		if info.Size() != want {
			t.Errorf("size %d, want %d", info.Size(), want)
		}
	}
	size(0)
	_, err = f.Write(bytes.Repeat([]byte("ab"), 1000))
	must(t, err)
	size(2000)
	must(t, f.Truncate(3))
	size(3)
	must(t, f.Truncate(5))
	b := make([]byte, 5)
	if _, err := f.ReadAt(b, 0); err != nil || string(b) != "aba\x00\x00" {
		t.Errorf("%q %v", b, err)
	}
}

func conformCache(t *testing.T, s Subject) {
	content := string(bytes.Repeat([]byte("cache"), 50_000))
	s.write(t, "a", content)
	f, err := s.FS.OpenFile(s.path("a"), os.O_RDWR, 0)
	must(t, err)
	defer f.Close()
	f.DropCache() // whether it can is the file system's affair
	s.expect(t, "a", content)
	_, err = f.Write([]byte("CACHE"))
	must(t, err)
	f.DropCache() // must not lose what was not synced
	s.expect(t, "a", "CACHE"+content[5:])
}

func conformSameFile(t *testing.T, s Subject) {
	s.write(t, "a", "x")
	s.write(t, "b", "x")
	stat := func(name string) fs.FileInfo {
		info, err := s.FS.Stat(s.path(name))
		must(t, err)
		return info
	}
	a, b := stat("a"), stat("b")
	if vfs.SameFile(a, b) {
		t.Error("two files are one")
	}
	if !vfs.SameFile(a, stat("a")) {
		t.Error("one file is two")
	}
	f, err := s.FS.Open(s.path("a"))
	must(t, err)
	open, err := f.Stat()
	must(t, err)
	must(t, f.Close())
	if !vfs.SameFile(open, a) {
		t.Error("an open file is not the file of its name")
	}
	must(t, s.FS.Rename(s.path("a"), s.path("c")))
	if !vfs.SameFile(a, stat("c")) {
		t.Error("renaming made another file")
	}
}

func conformNames(t *testing.T, s Subject) {
	names := []string{"IMG_0001.CR3", "Tänze & Torte.jpg", "日本.NEF", "with space.xmp", "e\u0301.xmp"}
	if s.Bytes {
		names = append(names, "caf\xe9.jpg", "esc\x1b[31m.jpg", "line\nbreak.jpg")
	}
	for _, n := range names {
		s.write(t, n, n)
	}
	entries, err := s.FS.ReadDir(s.Dir)
	must(t, err)
	got := map[string]bool{}
	for _, e := range entries {
		got[e.Name()] = true
	}
	for _, n := range names {
		s.expect(t, n, n)
		if s.Bytes && !got[n] {
			t.Errorf("%q is not listed as it was written", n)
		}
	}
	_, err = s.FS.OpenFile(s.path(string(bytes.Repeat([]byte("n"), 300))), os.O_RDWR|os.O_CREATE, 0o644)
	if c := store.Class(err); err == nil || c != store.BadName && c != store.Missing {
		t.Errorf("a name of 300 bytes: %v (%v)", err, c)
	}
}

func conformLinks(t *testing.T, s Subject) {
	if s.Symlink == nil {
		t.Skip("no symbolic links here")
	}
	s.write(t, "a", "content")
	must(t, s.FS.Mkdir(s.path("sub"), 0o755))
	must(t, s.Symlink("a", s.path("one")))
	must(t, s.Symlink("../one", s.path("sub/two")))
	must(t, s.Symlink("loop", s.path("loop")))
	must(t, s.Symlink("nowhere", s.path("dangling")))
	s.expect(t, "sub/two", "content")
	info, err := s.FS.Lstat(s.path("one"))
	must(t, err)
	if info.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("Lstat of a link gives %v", info.Mode())
	}
	text, err := s.FS.Readlink(s.path("sub/two"))
	if err != nil || text != "../one" {
		t.Errorf("Readlink: %q %v", text, err)
	}
	for name, want := range map[string]string{"a": "a", "one": "a", "sub/two": "a", "dangling": "nowhere", "missing": "missing"} {
		got, err := vfs.Follow(s.FS, s.path(name))
		if err != nil || filepath.Clean(got) != s.path(want) {
			t.Errorf("following %s leads to %q, %v", name, got, err)
		}
	}
	if got, err := vfs.Follow(s.FS, s.path("loop")); err == nil {
		t.Errorf("following a loop ended at %q", got)
	}
	if _, err := s.FS.Open(s.path("loop")); err == nil {
		t.Error("a loop could be opened")
	}
}

func conformPartials(t *testing.T, s Subject) {
	mine := []string{}
	for range 3 {
		f, err := vfs.CreatePartial(s.FS, s.path("IMG_0001.CR3"), 0o644)
		must(t, err)
		must(t, f.Close())
		mine = append(mine, filepath.Base(f.Name()))
	}
	others := []string{"IMG_0001.CR3", ".garner-partial", "x.1.garner-partial", ".IMG.partial"}
	for _, n := range others {
		s.write(t, n, "somebody's")
	}
	must(t, s.FS.Mkdir(s.path(".folder.1.garner-partial"), 0o755))
	removed, err := vfs.Sweep(s.FS, s.Dir)
	must(t, err)
	slices.Sort(mine)
	slices.Sort(removed)
	if !slices.Equal(removed, mine) {
		t.Errorf("swept %q, want %q", removed, mine)
	}
	for _, n := range others {
		s.expect(t, n, "somebody's")
	}
	if removed, err := vfs.Sweep(s.FS, s.path("nothing")); err != nil || removed != nil {
		t.Errorf("sweeping a missing folder: %v %v", removed, err)
	}
}

func conformSurroundings(t *testing.T, s Subject) {
	free, err := s.FS.FreeSpace(s.path("not/yet/made"))
	if err != nil || free <= 0 {
		t.Errorf("free space %d, %v", free, err)
	}
	seen := map[string]bool{}
	for range 1000 {
		tok := s.FS.Token()
		if tok == "" || seen[tok] || filepath.Base(tok) != tok || len(tok) > 32 {
			t.Fatalf("token %q", tok)
		}
		seen[tok] = true
	}
}
