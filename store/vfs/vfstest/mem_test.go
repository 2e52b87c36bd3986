package vfstest

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"syscall"
	"testing"
	"time"

	"garner/store"
	"garner/store/vfs"
)

func TestMemConforms(t *testing.T) {
	for _, c := range []struct {
		name string
		opt  Options
	}{{"plain", Options{}}, {"cloning", Options{Clones: true}}, {"FAT", Options{FAT: true}}, {"no bypass", Options{NoBypass: true}}} {
		t.Run(c.name, func(t *testing.T) {
			Run(t, func(t *testing.T) Subject {
				m := New(c.opt)
				must(t, m.Mkdir("/dir", 0o755))
				s := Subject{FS: m, Dir: "/dir", Symlink: m.Symlink, Bytes: !c.opt.FAT, Modes: !c.opt.FAT}
				if c.opt.FAT {
					s.Symlink = nil
				}
				return s
			})
		})
	}
}

func put(t *testing.T, m *Mem, name, content string, sync bool) {
	t.Helper()
	f, err := m.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644)
	must(t, err)
	_, err = io.WriteString(f, content)
	must(t, err)
	if sync {
		must(t, f.Sync())
	}
	must(t, f.Close())
}

// outcomes collects what a file may look like after a crash.
func outcomes(m *Mem, name string) map[string]int {
	got := map[string]int{}
	for seed := range uint64(400) {
		c := m.CrashClone(rand.New(rand.NewPCG(seed, 1)))
		if b, ok := c.Get(name); ok {
			got[string(b)]++
		} else {
			got["(missing)"]++
		}
	}
	return got
}

func TestCrashKeepsWhatWasSynced(t *testing.T) {
	m := New(Options{})
	put(t, m, "/a", "content", true)
	must(t, m.SyncDir("/"))
	if got := outcomes(m, "/a"); len(got) != 1 || got["content"] == 0 {
		t.Errorf("%v", got)
	}
}

func TestCrashLosesWhatWasNotSynced(t *testing.T) {
	m := New(Options{})
	put(t, m, "/name-only", "content", false)
	must(t, m.SyncDir("/"))
	put(t, m, "/content-only", "content", true)
	long := bytes.Repeat([]byte("new!"), 1000)
	m.Put("/torn", bytes.Repeat([]byte("old."), 1000))
	put(t, m, "/torn", string(long), false)

	got := outcomes(m, "/name-only")
	if got["(missing)"] != 0 || got["content"] == 0 || got[""] == 0 || got["\x00\x00\x00\x00\x00\x00\x00"] == 0 {
		t.Errorf("content never synced: %v", got)
	}
	got = outcomes(m, "/content-only")
	if len(got) != 2 || got["(missing)"] == 0 || got["content"] == 0 {
		t.Errorf("name never synced: %v", got)
	}
	got = outcomes(m, "/torn")
	mixed := 0
	for s := range got {
		if bytes.Contains([]byte(s), []byte("new!")) && bytes.Contains([]byte(s), []byte("old.")) {
			mixed++
		}
	}
	if mixed < 20 || got[string(long)] == 0 {
		t.Errorf("%d outcomes, %d of them torn", len(got), mixed)
	}
}

func TestCrashOfRenameIsOldOrNew(t *testing.T) {
	m := New(Options{})
	m.Put("/a", []byte("old"))
	put(t, m, "/tmp", "new", true)
	must(t, m.Rename("/tmp", "/a"))
	got := outcomes(m, "/a")
	if len(got) != 2 || got["old"] == 0 || got["new"] == 0 {
		t.Errorf("%v", got)
	}
	must(t, m.SyncDir("/"))
	if got = outcomes(m, "/a"); len(got) != 1 || got["new"] == 0 {
		t.Errorf("after the sync: %v", got)
	}
	if got = outcomes(m, "/tmp"); len(got) != 1 || got["(missing)"] == 0 {
		t.Errorf("the old name came back: %v", got)
	}
}

func TestCrashOfRenameAcrossFolders(t *testing.T) {
	m := New(Options{})
	m.Put("/x/keep", nil)
	m.Put("/y/keep", nil)
	put(t, m, "/x/a", "content", true)
	must(t, m.Rename("/x/a", "/y/a"))
	must(t, m.SyncDir("/y"))
	if got := outcomes(m, "/y/a"); len(got) != 1 || got["content"] == 0 {
		t.Errorf("new name: %v", got)
	}
	if got := outcomes(m, "/x/a"); len(got) != 1 || got["(missing)"] == 0 {
		t.Errorf("old name: %v", got)
	}
}

func TestCrashCloneIsRepeatable(t *testing.T) {
	m := New(Options{})
	for _, n := range []string{"/a", "/b", "/c"} {
		put(t, m, n, "some content of "+n, false)
	}
	for seed := range uint64(20) {
		a := m.CrashClone(rand.New(rand.NewPCG(seed, 7)))
		b := m.CrashClone(rand.New(rand.NewPCG(seed, 7)))
		for _, n := range []string{"/a", "/b", "/c"} {
			x, xok := a.Get(n)
			y, yok := b.Get(n)
			if xok != yok || !bytes.Equal(x, y) {
				t.Fatalf("seed %d: %s is %q and %q", seed, n, x, y)
			}
		}
	}
}

func TestCrashCloneIsIndependent(t *testing.T) {
	m := New(Options{})
	m.Put("/a", []byte("old"))
	c := m.CrashClone(rand.New(rand.NewPCG(1, 1)))
	put(t, c, "/a", "NEW", true)
	if b, _ := m.Get("/a"); string(b) != "old" {
		t.Errorf("writing to the clone changed the original: %q", b)
	}
}

func TestFaults(t *testing.T) {
	m := New(Options{})
	m.Inject(Fault{Op: OpWrite, Path: "/b", N: 2, Err: syscall.ENOSPC, Short: 3})
	f, err := m.OpenFile("/b", os.O_RDWR|os.O_CREATE, 0o644)
	must(t, err)
	if _, err := f.Write([]byte("first")); err != nil {
		t.Fatal(err)
	}
	n, err := f.Write([]byte("second"))
	if n != 3 || store.Class(err) != store.NoSpace {
		t.Errorf("second write: %d, %v", n, err)
	}
	if _, err := f.Write([]byte("!")); err != nil {
		t.Errorf("third write: %v", err)
	}
	if b, _ := m.Get("/b"); string(b) != "firstsec!" {
		t.Errorf("%q", b)
	}
	m.Inject(Fault{Path: "/b", Stay: true, Err: syscall.ENODEV})
	for range 3 {
		if _, err := m.Stat("/b"); store.Class(err) != store.DeviceGone {
			t.Errorf("a device that went away: %v", err)
		}
	}
	m.Heal()
	if _, err := m.Stat("/b"); err != nil {
		t.Error(err)
	}
	called := ""
	m.Inject(Fault{Op: OpRename, Do: func(p string) { called = p; m.Put("/new", []byte("x")) }})
	must(t, m.Rename("/b", "/c"))
	if called != "/c" {
		t.Errorf("Do was called for %q", called)
	}
}

func TestPowerOff(t *testing.T) {
	m := New(Options{})
	m.PowerOffAfter(2)
	must(t, m.Mkdir("/a", 0o755))
	must(t, m.Mkdir("/b", 0o755))
	if err := m.Mkdir("/c", 0o755); !errors.Is(err, ErrPowerLost) {
		t.Errorf("%v", err)
	}
	if err := m.Remove("/a"); !errors.Is(err, ErrPowerLost) {
		t.Errorf("%v", err)
	}
	if got := m.Names("/"); len(got) != 2 {
		t.Errorf("%q", got)
	}
}

func TestRotIsSeenPastTheCacheOnly(t *testing.T) {
	m := New(Options{})
	put(t, m, "/a", "aaaa", true)
	m.Rot("/a", 8)
	f, err := m.Open("/a")
	must(t, err)
	b := make([]byte, 4)
	f.ReadAt(b, 0)
	if string(b) != "aaaa" {
		t.Errorf("through the cache: %q", b)
	}
	if !f.DropCache() {
		t.Error("the cache can't be dropped")
	}
	f.ReadAt(b, 0)
	if string(b) != "a`aa" {
		t.Errorf("past the cache: %q", b)
	}
}

func TestDropCacheKeepsUnsynced(t *testing.T) {
	m := New(Options{})
	f, err := m.OpenFile("/a", os.O_RDWR|os.O_CREATE, 0o644)
	must(t, err)
	f.Write([]byte("x"))
	if f.DropCache() {
		t.Error("content that is not synced was said to come from the device")
	}
}

func TestBreak(t *testing.T) {
	m := New(Options{})
	m.Put("/a", make([]byte, 100))
	m.Break("/a", 60)
	f, err := m.Open("/a")
	must(t, err)
	b, err := io.ReadAll(f)
	if len(b) != 60 || store.Class(err) != store.ReadError {
		t.Errorf("%d bytes, %v", len(b), err)
	}
}

func TestCapacity(t *testing.T) {
	m := New(Options{Capacity: 10})
	m.Put("/old", []byte("1234"))
	f, err := m.OpenFile("/a", os.O_RDWR|os.O_CREATE, 0o644)
	must(t, err)
	if err := f.Preallocate(7); store.Class(err) != store.NoSpace {
		t.Errorf("preallocating 7 of 6 bytes: %v", err)
	}
	must(t, f.Preallocate(6))
	n, err := f.Write([]byte("12345678"))
	if n != 6 || store.Class(err) != store.NoSpace {
		t.Errorf("%d %v", n, err)
	}
	if free, _ := m.FreeSpace("/"); free != 0 {
		t.Errorf("%d bytes free", free)
	}
	must(t, m.Remove("/old"))
	if free, _ := m.FreeSpace("/"); free != 4 {
		t.Errorf("%d bytes free after removing 4", free)
	}
}

// The limits are those of Microsoft's FAT description: names are compared
// without case, times have 2 s, a file's size is a 32-bit number.
func TestFAT(t *testing.T) {
	m := New(Options{FAT: true})
	m.Put("/DCIM/IMG_0001.JPG", []byte("x"))
	if _, err := m.Stat("/dcim/img_0001.jpg"); err != nil {
		t.Error(err)
	}
	if err := m.RenameNew("/DCIM/IMG_0001.JPG", "/DCIM/img_0001.jpg"); err != nil {
		t.Errorf("changing the case of a name: %v", err)
	}
	if got := m.Names("/DCIM"); len(got) != 1 || got[0] != "img_0001.jpg" {
		t.Errorf("%q", got)
	}
	odd := time.Date(2026, 6, 13, 14, 0, 3, 500e6, time.UTC)
	must(t, m.Chtimes("/DCIM/img_0001.jpg", odd))
	info, err := m.Stat("/DCIM/img_0001.jpg")
	must(t, err)
	if got := info.ModTime(); !got.Equal(time.Date(2026, 6, 13, 14, 0, 2, 0, time.UTC)) {
		t.Errorf("time %v", got)
	}
	for _, bad := range []string{`a:b`, `a*`, `a?`, `"a"`, `a|b`, `<a>`, "a\x1b", "a.", "a "} {
		if _, err := m.OpenFile("/"+bad, os.O_RDWR|os.O_CREATE, 0o644); !errors.Is(err, syscall.EINVAL) {
			t.Errorf("%q: %v", bad, err)
		}
	}
	f, err := m.OpenFile("/big", os.O_RDWR|os.O_CREATE, 0o644)
	must(t, err)
	must(t, f.Preallocate(1<<32-1))
	if err := f.Preallocate(1 << 32); store.Class(err) != store.TooLarge {
		t.Errorf("4 GiB: %v", err)
	}
}

func TestLogAndLatency(t *testing.T) {
	m := New(Options{Latency: map[Op]time.Duration{OpSync: 10 * time.Millisecond}})
	put(t, m, "/a", "x", true)
	put(t, m, "/b", "x", true)
	if m.Count(OpSync) != 2 || m.Count(OpCreate) != 2 || m.Count("") != len(m.Log()) {
		t.Errorf("%v", m.Log())
	}
	if m.Elapsed() != 20*time.Millisecond {
		t.Errorf("elapsed %v", m.Elapsed())
	}
	if e := m.Log()[0]; e.Op != OpCreate || e.Path != "/a" {
		t.Errorf("%v", e)
	}
}

var _ vfs.FS = (*Mem)(nil)
