package copy_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
	"garner/testdata/testfat"
)

// The tests of this file on the driver of Linux itself.
func TestOnFATOfTheKernel(t *testing.T) {
	if testfat.Inside() {
		t.Skip("is inside")
	}
	if testing.Short() {
		t.Skip("starts a kernel: half a minute")
	}
	out := testfat.Kernel(t, "^TestFAT/FAT32$")
	for _, want := range []string{"TestFATToFAT", "TestFATTimes", "TestFATCollisions", "TestFATNames", "TestFATFull", "TestFATConforms"} {
		if !strings.Contains(out, "--- PASS: "+want+"/FAT32 ") {
			t.Errorf("%s was not run there:\n%s", want, out)
		}
	}
}

// fats runs a test on a real FAT32 and on a real exFAT file system.
func fats(t *testing.T, mib int64, f func(t *testing.T, d *testfat.Disk)) {
	t.Run("FAT32", func(t *testing.T) { f(t, testfat.FAT32(t, mib)) })
	t.Run("exFAT", func(t *testing.T) { f(t, testfat.ExFAT(t, mib)) })
}

func put(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

func expectOnDisk(t *testing.T, path string, want []byte) {
	t.Helper()
	if got, err := os.ReadFile(path); err != nil || !bytes.Equal(got, want) {
		t.Errorf("%s: %d bytes, %v; want %d", path, len(got), err, len(want))
	}
}

// expectNames checks what a folder holds, partials and all.
func expectNames(t *testing.T, dir string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != len(want) {
		t.Errorf("%s holds %v (%v), want %q", dir, entries, err, want)
		return
	}
	for i, e := range entries {
		if e.Name() != want[i] {
			t.Errorf("%s holds %q, want %q", dir, e.Name(), want[i])
		}
	}
}

// A card is copied to a disk of the same kind and to the system's own, and what
// stands there after it was taken out and put back is the card's.
func TestFATToFAT(t *testing.T) {
	fats(t, 64, func(t *testing.T, card *testfat.Disk) {
		disk := testfat.ExFAT(t, 64)
		if card.Kind == "exfat" {
			disk = testfat.FAT32(t, 64)
		}
		own := t.TempDir()
		files := map[string][]byte{"IMG_0001.CR3": content(9<<20 + 77), "IMG_0001.JPG": content(2 << 20), "IMG_0002.XMP": {}, "img_0003.thm": content(511)}
		for name, data := range files {
			put(t, filepath.Join(card.Dir, "DCIM", "100EOSR5", name), data)
		}
		card.Reinsert(t)
		for name, data := range files {
			src := filepath.Join(card.Dir, "DCIM", "100EOSR5", name)
			before, err := os.Stat(src)
			if err != nil {
				t.Fatal(err)
			}
			job := copy.Job{Source: src, Dests: []string{filepath.Join(disk.Dir, "A", name), filepath.Join(own, "A", name)}}
			for _, want := range []copy.State{copy.Copied, copy.Present} {
				res, err := run(t, vfs.OS{}, job)
				if err != nil || res.Sum != sha256.Sum256(data) {
					t.Errorf("%s: %v, %x", name, err, res.Sum)
				}
				for _, d := range res.Dests {
					if d.State != want || !d.Times || d.Bypassed && disk.FUSE && d.Path == job.Dests[0] {
						t.Errorf("%+v", d)
					}
				}
			}
			after, err := os.Stat(src)
			if err != nil || !after.ModTime().Equal(before.ModTime()) || after.Size() != before.Size() {
				t.Errorf("the source was %v of %d bytes, is %v of %d", before.ModTime(), before.Size(), after.ModTime(), after.Size())
			}
		}
		disk.Check(t)
		card.Check(t)
		for name, data := range files {
			expectOnDisk(t, filepath.Join(disk.Dir, "A", name), data)
			expectOnDisk(t, filepath.Join(card.Dir, "DCIM", "100EOSR5", name), data)
			bypassed, err := copy.Verify(context.Background(), vfs.OS{}, filepath.Join(disk.Dir, "A", name), sha256.Sum256(data))
			if bypassed && disk.FUSE || err != nil {
				t.Errorf("%s: past the cache: %v, %v", name, bypassed, err)
			}
		}
		expectNames(t, filepath.Join(disk.Dir, "A"), "IMG_0001.CR3", "IMG_0001.JPG", "IMG_0002.XMP", "img_0003.thm")
	})
}

// FAT keeps a time to 2 s (Microsoft, FAT: General Overview), exFAT to 10 ms;
// the copy's is the source's as far as that goes, also after the disk was out.
func TestFATTimes(t *testing.T) {
	fats(t, 40, func(t *testing.T, d *testfat.Disk) {
		src := filepath.Join(t.TempDir(), "a.NEF")
		put(t, src, content(1000))
		for _, when := range []time.Time{
			time.Date(2026, 6, 13, 14, 2, 11, 130e6, time.Local), // odd seconds
			time.Date(2026, 1, 1, 0, 0, 0, 0, time.Local),
		} {
			if err := os.Chtimes(src, when, when); err != nil {
				t.Fatal(err)
			}
			dest := filepath.Join(d.Dir, when.Format("A_150405"), "a.NEF")
			res, err := run(t, vfs.OS{}, copy.Job{Source: src, Dests: []string{dest}})
			if err != nil || !res.Dests[0].Times {
				t.Errorf("%+v, %v", res.Dests, err)
			}
			d.Reinsert(t)
			info, err := os.Stat(dest)
			if err != nil || info.ModTime().Sub(when).Abs() > 2*time.Second && !(d.FUSE && d.Kind == "vfat") {
				t.Errorf("%v, %v, want %v", info.ModTime(), err, when)
			}
		}
	})
}

// Names that differ by case alone are one: nothing is overwritten under the other
// spelling, and one file is not two copies.
func TestFATCollisions(t *testing.T) {
	fats(t, 40, func(t *testing.T, d *testfat.Disk) {
		dir := t.TempDir()
		first, second := content(50_000), content(50_001)
		src := filepath.Join(dir, "IMG_0001.CR3")
		put(t, src, first)
		put(t, filepath.Join(dir, "two"), second)
		dest := filepath.Join(d.Dir, "A", "IMG_0001.CR3")
		other := filepath.Join(d.Dir, "a", "img_0001.cr3")
		if _, err := run(t, vfs.OS{}, copy.Job{Source: src, Dests: []string{dest}}); err != nil {
			t.Fatal(err)
		}
		if _, err := run(t, vfs.OS{}, copy.Job{Source: filepath.Join(dir, "two"), Dests: []string{other}}); !errors.Is(err, store.ErrDiffers) {
			t.Errorf("other content under another spelling: %v", err)
		}
		flipped := flip(first, 99_999)
		put(t, filepath.Join(dir, "three"), flipped)
		res, err := run(t, vfs.OS{}, copy.Job{Source: filepath.Join(dir, "three"), Dests: []string{other}})
		if !errors.Is(err, store.ErrDiffers) || res.Sum != sha256.Sum256(flipped) {
			t.Errorf("one bit differs: %v, %x", err, res.Sum)
		}
		if res, err := run(t, vfs.OS{}, copy.Job{Source: src, Dests: []string{other}}); err != nil || res.Dests[0].State != copy.Present {
			t.Errorf("the same under another spelling: %+v, %v", res, err)
		}
		for _, two := range [][]string{{"B/x.CR3", "B/X.cr3"}, {"C/x.CR3", "c/X.CR3"}} {
			res, err = run(t, vfs.OS{}, copy.Job{Source: src, Dests: []string{filepath.Join(d.Dir, two[0]), filepath.Join(d.Dir, two[1])}})
			if !errors.Is(err, store.ErrSameFile) || (res.Dests[0].State == copy.Failed) == (res.Dests[1].State == copy.Failed) {
				t.Errorf("%q, two spellings of one target: %+v, %v", two, res, err)
			}
		}
		res, err = run(t, vfs.OS{}, copy.Job{Source: dest, Dests: []string{other}})
		if !errors.Is(err, store.ErrSameFile) {
			t.Errorf("a file copied to itself in another spelling: %+v, %v", res, err)
		}
		put(t, filepath.Join(d.Dir, "A", "new"), second)
		if err := (vfs.OS{}).RenameNew(filepath.Join(d.Dir, "A", "new"), other); store.Class(err) != store.Exists {
			t.Errorf("renaming to a name taken in another spelling: %v", err)
		}
		d.Check(t)
		expectOnDisk(t, dest, first)
		expectNames(t, filepath.Join(d.Dir, "A"), "IMG_0001.CR3", "new")
	})
}

// What the file system can't name fails by itself and leaves nothing behind.
func TestFATNames(t *testing.T) {
	fats(t, 40, func(t *testing.T, d *testfat.Disk) {
		src, own := filepath.Join(t.TempDir(), "a.NEF"), t.TempDir()
		put(t, src, content(3000))
		for _, name := range []string{"a:b.NEF", "what?.NEF", `"quoted".NEF`, "a*.NEF", "a|b.NEF", "<a>.NEF", `a\b.NEF`, "tab\t.NEF", "not utf-8 \xff.NEF"} {
			job := copy.Job{Source: src, Dests: []string{filepath.Join(d.Dir, "A", name), filepath.Join(own, "A", name)}}
			res, err := run(t, vfs.OS{}, job)
			if err == nil || res.Dests[1].State != copy.Copied {
				t.Errorf("%q: %+v", name, res.Dests)
			}
			if class := store.Class(err); !d.FUSE && class != store.BadName {
				t.Errorf("%q: %v (%v)", name, err, class)
			}
		}
		expectNames(t, filepath.Join(d.Dir, "A"))
		d.Check(t)
	})
}

// A full disk is said to be full, and takes its partial back.
func TestFATFull(t *testing.T) {
	fats(t, 35, func(t *testing.T, d *testfat.Disk) {
		dir := t.TempDir()
		src, own := filepath.Join(dir, "a.NEF"), filepath.Join(dir, "copy", "a.NEF")
		put(t, src, make([]byte, 36<<20))
		res, err := run(t, vfs.OS{}, copy.Job{Source: src, Dests: []string{filepath.Join(d.Dir, "A", "a.NEF"), own}})
		if class := store.Class(err); class != store.NoSpace && !(d.FUSE && d.Kind == "vfat" && class == store.Permission) || res.Dests[1].State != copy.Copied {
			t.Errorf("%v (%v), %+v", err, store.Class(err), res.Dests)
		}
		expectNames(t, filepath.Join(d.Dir, "A"))
		if !d.FUSE || d.Kind == "exfat" { // fusefat loses clusters
			d.Check(t)
		}
		put(t, src, make([]byte, 15<<20)) // the room is there again
		if _, err := run(t, vfs.OS{}, copy.Job{Source: src, Dests: []string{filepath.Join(d.Dir, "A", "b.NEF")}}); err != nil {
			t.Error(err)
		}
	})
}

// What vfs.FS promises. (fusefat does not keep enough of it to be asked.)
func TestFATConforms(t *testing.T) {
	fats(t, 35, func(t *testing.T, d *testfat.Disk) {
		if d.FUSE && d.Kind == "vfat" {
			t.Skip("fusefat knows neither names beyond ASCII nor chmod")
		}
		vfstest.Run(t, func(t *testing.T) vfstest.Subject {
			dir, err := os.MkdirTemp(d.Dir, "t")
			if err != nil {
				t.Fatal(err)
			}
			return vfstest.Subject{FS: vfs.OS{}, Dir: dir}
		})
		d.Check(t)
	})
}
