//go:build unix

package main

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf8"

	"garner/store/vfs"
	"garner/testdata/testcard"
	"garner/testdata/testneed"
)

func sumOf(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}

// fatImage makes a disk image of so many megabytes with a FAT file system, by
// mkfs.vfat of dosfstools.
func fatImage(t *testing.T, megabytes int64) string {
	t.Helper()
	mkfs := testneed.Tool(t, "mkfs.vfat")
	return imageBy(t, megabytes, mkfs) // no label: fusefat shows it as a file
}

func imageBy(t *testing.T, megabytes int64, mkfs string, args ...string) string {
	t.Helper()
	image := filepath.Join(t.TempDir(), "image")
	f, err := os.Create(image)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Truncate(megabytes << 20); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(mkfs, append(args, image)...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", mkfs, err, out)
	}
	return image
}

// mountedImage is a file system served by a process of our own.
type mountedImage struct {
	t      *testing.T
	dir    string
	daemon *exec.Cmd // nil: not ours
	gone   bool
}

// mountFAT mounts an image with fusefat, in the foreground, so that it can be killed.
func mountFAT(t *testing.T, image, dir, how string) *mountedImage {
	t.Helper()
	fusefat := testneed.Tool(t, "fusefat")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(fusefat, "-f", "-o", how, image, dir)
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		_ = c.Wait()
		close(ended)
	}()
	m := &mountedImage{t: t, dir: dir, daemon: c}
	t.Cleanup(m.unmount)
	for {
		if got, err := vfs.MountOf(dir); err == nil && got.Root == real(t, dir) {
			if got.Type != "fuse.fusefat" {
				t.Fatalf("%s is %s, not FAT", dir, got.Type)
			}
			return m
		}
		select {
		case <-ended:
			t.Skip("fusefat can't mount here")
		default:
			runtime.Gosched()
		}
	}
}

// real is a folder without links.
func real(t *testing.T, dir string) string {
	t.Helper()
	p, err := filepath.EvalSymlinks(dir)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// mountExFAT mounts an image with exfat-fuse, by a loop device.
func mountExFAT(t *testing.T, image, dir string) *mountedImage {
	t.Helper()
	mount, losetup := testneed.Tool(t, "mount.exfat-fuse"), testneed.Tool(t, "losetup")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(losetup, "-f", "--show", image).Output()
	if err != nil {
		t.Skipf("there are no loop devices here: %v", err)
	}
	loop := strings.TrimSpace(string(out))
	t.Cleanup(func() { _ = exec.Command(losetup, "-d", loop).Run() })
	if out, err := exec.Command(mount, loop, dir).CombinedOutput(); err != nil {
		t.Skipf("exfat-fuse can't mount here: %v\n%s", err, out)
	}
	m := &mountedImage{t: t, dir: dir}
	t.Cleanup(m.unmount)
	if got, err := vfs.MountOf(dir); err != nil || got.Root != real(t, dir) || got.Source != loop || got.Type != "fuseblk" {
		t.Fatalf("%s is %+v, %v", dir, got, err)
	}
	return m
}

// unmount takes the file system down in an orderly way.
func (m *mountedImage) unmount() {
	if m.gone {
		return
	}
	m.gone = true
	if out, err := exec.Command("umount", m.dir).CombinedOutput(); err != nil {
		m.t.Errorf("umount: %v\n%s", err, out)
		_ = exec.Command("umount", "-l", m.dir).Run()
	}
	m.ended()
}

// kill takes the file system away from under its users; what is left of it is taken
// down by the function returned.
func (m *mountedImage) kill() (clear func()) {
	m.gone = true
	_ = m.daemon.Process.Kill()
	m.ended()
	clear = func() { _ = exec.Command("umount", "-l", m.dir).Run() }
	m.t.Cleanup(clear)
	return clear
}

// ended waits until the daemon has written everything back.
func (m *mountedImage) ended() {
	for m.daemon != nil && m.daemon.Process.Signal(syscall.Signal(0)) == nil {
		runtime.Gosched()
	}
}

// fileSystems are those that cards and portable disks have.
func fileSystems(t *testing.T, f func(t *testing.T, mount func(t *testing.T) *mountedImage)) {
	t.Run("FAT", func(t *testing.T) {
		f(t, func(t *testing.T) *mountedImage {
			return mountFAT(t, fatImage(t, 64), filepath.Join(t.TempDir(), "mount"), "rw+")
		})
	})
	t.Run("exFAT", func(t *testing.T) {
		f(t, func(t *testing.T) *mountedImage {
			mkfs := testneed.Tool(t, "mkfs.exfat")
			return mountExFAT(t, imageBy(t, 64, mkfs, "-L", "LUMORA"), filepath.Join(t.TempDir(), "mount"))
		})
	})
}

// TestOffloadToFAT takes a card into a job whose copy lies on FAT: names that differ
// in case alone, names that FAT refuses, times of two seconds; and again, when all is
// there.
func TestOffloadToFAT(t *testing.T) {
	fileSystems(t, func(t *testing.T, mount func(*testing.T) *mountedImage) {
		p := newPlace(t, frames(),
			testcard.Run{Folder: "Day: one?", First: 1, Count: 2, Shot: testcard.Shot{Serial: "2002", Counter: 7}},
			testcard.Run{Folder: "day: one?", First: 2, Count: 2, Shot: testcard.Shot{Serial: "2002", Counter: 70}})
		if err := os.Rename(filepath.Join(p.card, "DCIM"), filepath.Join(p.card, "pictures")); err != nil {
			t.Fatal(err)
		}
		watched(t, p.card)
		m := mount(t)
		p.also = filepath.Join(m.dir, "copy")
		s := p.offload(t)
		s.expect(t, exitDone)
		s.expectSafe(t, 1)
		p.arrived(t)
		if m.daemon == nil { // fusefat has no way to set a time
			p.timesKept(t)
		}
		s = p.offload(t)
		s.expect(t, exitDone)
		s.expectSafe(t, 1)
		p.arrived(t)
		if n := countState(s.lines(t), "known"); n != len(p.files) {
			t.Errorf("%d of %d files were known the second time", n, len(p.files))
		}
	})
}

// timesKept holds the times of the copies against those of the card, to 2 s.
func (p place) timesKept(t *testing.T) {
	t.Helper()
	at, byContent := times(t, p.card), map[string]int64{}
	for path, sum := range contents(t, p.card) {
		byContent[sum] = at[path]
	}
	copied := times(t, p.also)
	for path, sum := range contents(t, p.also) {
		if d := time.Duration(copied[path] - byContent[sum]).Abs(); d > 2*time.Second {
			t.Errorf("%s has a time %v off", path, d)
		}
	}
}

// TestOffloadFromFAT reads a card as bodies format them.
func TestOffloadFromFAT(t *testing.T) {
	fileSystems(t, func(t *testing.T, mount func(*testing.T) *mountedImage) {
		run := frames()
		run.Ext = []string{".CR3", ".JPG"}
		p := newPlace(t, run, testcard.Run{Folder: "DCIM/101LMRFV", First: 1, Count: 2, Shot: testcard.Shot{Counter: 9000}})
		m := mount(t)
		if err := os.CopyFS(m.dir, os.DirFS(p.card)); err != nil {
			t.Fatal(err)
		}
		p.card = m.dir
		s := p.offload(t)
		s.expect(t, exitDone)
		s.expectSafe(t, 1)
		p.whole(t, p.job, p.also)
		have := contents(t, p.job)
		if len(have) != len(p.files) || have["A2/LMR_0001.CR3"] == "" {
			t.Errorf("the job has %v", have)
		}
		had := contents(t, m.dir)
		for path, data := range p.files {
			if had[path] != sumOf(data) {
				t.Errorf("the card's %s changed", path)
			}
		}
	})
}

func countState(lines []told, state string) int {
	n := 0
	for _, o := range lines {
		if o.Event == "file" && o.State == state {
			n++
		}
	}
	return n
}

// TestOffloadNames takes a drive with names that Windows, FAT or exFAT refuse; where
// the system of this test takes them, they go to names that every one takes.
func TestOffloadNames(t *testing.T) {
	dir := t.TempDir()
	p := place{card: filepath.Join(dir, "drive"), job: filepath.Join(dir, "job"), also: filepath.Join(elsewhere(t), "copy")}
	names := []string{"a<b>c.CR3", "what?.CR3", "star*.CR3", "pipe|.CR3", `quote".CR3`, `back\slash.CR3`, "colon:1.CR3",
		"CON.CR3", "nul.tar.CR3", "COM1.CR3", "ends in a dot.", "ends in a space ", "trailing./x.CR3", "bell\a.CR3", "not UTF-8 \xff.CR3",
		"e\u0301te\u0301.CR3", "\u00e9t\u00e9.JPG", "STRASSE.CR3", "stra\u00dfe.CR3", "case.CR3", "CASE.CR3", testcard.LongPath(300, ".CR3")}
	put := testcard.Disk(t, p.card)
	for i, n := range names {
		put("Second shooter/"+n, testcard.File(t, filepath.Ext(n), testcard.Shot{Serial: "2002", Counter: int64(100 + i), At: testcard.Start().Add(time.Duration(i) * time.Minute)}), testcard.Start())
	}
	watched(t, p.card)
	s := p.offload(t)
	s.expect(t, exitDone)
	s.expectSafe(t, 1)
	p.arrived(t)
	folded := map[string]string{}
	for path := range contents(t, p.job) {
		for _, e := range strings.Split(path, "/") {
			stem, _, _ := strings.Cut(strings.ToUpper(e), ".")
			// Microsoft, Naming Files, Paths, and Namespaces.
			if strings.ContainsAny(e, "<>:\"|?*\\\a") || !utf8.ValidString(e) || strings.HasSuffix(e, ".") || strings.HasSuffix(e, " ") || stem == "CON" || stem == "NUL" || stem == "COM1" {
				t.Errorf("%q is no name for every system", path)
			}
		}
		if other := folded[strings.ToLower(path)]; other != "" {
			t.Errorf("%q and %q are one name on some systems", path, other)
		}
		folded[strings.ToLower(path)] = path
	}
	f := s.file(t, "Second shooter/what?.CR3")
	if f.To != "A/Second shooter/what_.CR3" || len(f.Notes) == 0 {
		t.Errorf("%+v", f)
	}
	long := s.file(t, "Second shooter/"+testcard.LongPath(300, ".CR3"))
	if !strings.HasSuffix(long.To, testcard.LongPath(300, ".CR3")) {
		t.Errorf("the long path is %q", long.To)
	}
}

// TestOffloadManyFiles takes very many files: as many as GARNER_MANY says, 100,000
// by hand.
func TestOffloadManyFiles(t *testing.T) {
	n := 20_000
	if testing.Short() {
		n = 2000
	}
	n = number("GARNER_MANY", n)
	fast := elsewhere(t) // where a sync costs nothing
	card, job := filepath.Join(fast, "card"), filepath.Join(fast, "job")
	testcard.Many(testcard.Disk(t, card), n)
	s := offload(t, card, "--job", job, "--single-copy", "--json")
	s.expect(t, exitDone)
	s.expectSafe(t, 1)
	if got := countState(s.lines(t), "copied"); got != n {
		t.Errorf("%d of %d files were copied", got, n)
	}
	onceEach(t, job, values(contents(t, card)))
	proven(t, job)
	if lines := strings.Count(s.err, "\n"); lines > 60 {
		t.Errorf("a person is told %d lines", lines)
	}
}
