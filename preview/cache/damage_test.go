package cache

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// filled makes a cache of three thumbnails and a rendition and returns the
// files that hold them.
func filled(t *testing.T) (dir, pack, rendition string) {
	t.Helper()
	dir = t.TempDir()
	c := Open(dir, roomy)
	for _, key := range []string{"one", "two", "three"} {
		if err := c.PutThumb(key, body(key, 60)); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.PutRendition("four", body("four", 90)); err != nil {
		t.Fatal(err)
	}
	if err := c.Close(); err != nil {
		t.Fatal(err)
	}
	packs, _ := filepath.Glob(filepath.Join(dir, packFolder, "*"))
	renditions, _ := filepath.Glob(filepath.Join(dir, renditionFolder, "*", "*"))
	if len(packs) != 1 || len(renditions) != 1 {
		t.Fatalf("%d packs, %d renditions", len(packs), len(renditions))
	}
	return dir, packs[0], renditions[0]
}

// checkTrue fails if the cache gives anything but what was put in, and returns
// how many entries it has.
func checkTrue(t *testing.T, c *Cache) int {
	t.Helper()
	n := 0
	for _, key := range []string{"one", "two", "three"} {
		if got, ok := c.Thumb(key); ok {
			if n++; !bytes.Equal(got, body(key, 60)) {
				t.Fatalf("%s came back changed", key)
			}
		}
	}
	if got, ok := c.Rendition("four"); ok {
		if n++; !bytes.Equal(got, body("four", 90)) {
			t.Fatal("the rendition came back changed")
		}
	}
	return n
}

func TestAFlippedByteIsAMiss(t *testing.T) {
	dir, pack, rendition := filled(t)
	if n := checkTrue(t, Open(dir, roomy)); n != 4 {
		t.Fatalf("%d of 4 before anything was damaged", n)
	}
	for _, path := range []string{pack, rendition} {
		whole, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for i := range whole {
			b := bytes.Clone(whole)
			b[i] ^= 0x10
			if err := os.WriteFile(path, b, 0o666); err != nil {
				t.Fatal(err)
			}
			if n := checkTrue(t, Open(dir, roomy)); n > 3 {
				t.Fatalf("%s: byte %d flipped and nothing missing", filepath.Base(path), i)
			}
		}
		if err := os.WriteFile(path, whole, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// A program killed at any instant leaves a pack or a temporary file that ends
// anywhere. What was whole stays, and the next program can go on.
func TestCutAnywhere(t *testing.T) {
	dir, pack, rendition := filled(t)
	for _, path := range []string{pack, rendition} {
		whole, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for n := range whole {
			if err := os.WriteFile(path, whole[:n], 0o666); err != nil {
				t.Fatal(err)
			}
			c := Open(dir, roomy)
			want := 3
			if path == pack {
				want = 1 + n/(len(whole)/3) // the entries differ by two bytes in length
			}
			if got := checkTrue(t, c); got < want-1 || got > want+1 || got > 3 {
				t.Fatalf("%s cut at %d: %d entries, want about %d", filepath.Base(path), n, got, want)
			}
			if n%16 == 0 {
				if err := c.PutThumb("after", []byte("it")); err != nil {
					t.Fatal(err)
				}
				c.Close()
				again := Open(dir, roomy)
				if got, ok := again.Thumb("after"); !ok || string(got) != "it" {
					t.Fatalf("cut at %d: what was put in afterwards is lost", n)
				}
				for _, extra := range packNames(filepath.Join(dir, packFolder))[1:] {
					os.Remove(filepath.Join(dir, packFolder, extra))
				}
			}
		}
		if err := os.WriteFile(path, whole, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// An entry in the place of another one is whole, but it is not the one.
func TestAnEntryUnderAnotherNameIsAMiss(t *testing.T) {
	dir, _, rendition := filled(t)
	other := filepath.Join(dir, renditionName("five"))
	if err := os.MkdirAll(filepath.Dir(other), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(rendition, other); err != nil {
		t.Fatal(err)
	}
	c := Open(dir, roomy)
	if _, ok := c.Rendition("five"); ok {
		t.Error("the rendition of another key was given")
	}
	if s := c.Stats(); s.Bad != 1 {
		t.Errorf("counted %+v", s)
	}
}

func TestDeletedWhileInUse(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "cache")
	c := Open(dir, roomy)
	defer c.Close()
	for round := range 3 {
		if err := c.PutThumb("a", []byte("thumb")); err != nil {
			t.Fatal(err)
		}
		if err := c.PutRendition("a", []byte("rendition")); err != nil {
			t.Fatal(err)
		}
		if got, ok := c.Thumb("a"); !ok || string(got) != "thumb" {
			t.Fatalf("round %d: thumbnail hit %v", round, ok)
		}
		if got, ok := c.Rendition("a"); !ok || string(got) != "rendition" {
			t.Fatalf("round %d: rendition hit %v", round, ok)
		}
		if err := os.RemoveAll(dir); err != nil {
			t.Skip("this system keeps open files: " + err.Error())
		}
		if round == 1 { // noticed by reading; the other rounds notice by writing
			if _, ok := c.Thumb("a"); ok {
				t.Fatal("a thumbnail out of a folder that is gone")
			}
			if _, ok := c.Rendition("a"); ok {
				t.Fatal("a rendition out of a folder that is gone")
			}
		}
	}
}

// fullDisk is a file on a disk that has room for a number of bytes.
type fullDisk struct {
	*os.File
	room       *int
	noTruncate bool
}

func (f fullDisk) Write(p []byte) (int, error) {
	if len(p) > *f.room {
		n, _ := f.File.Write(p[:*f.room])
		*f.room = 0
		return n, &os.PathError{Op: "write", Path: f.Name(), Err: syscall.ENOSPC}
	}
	*f.room -= len(p)
	return f.File.Write(p)
}

func (f fullDisk) Truncate(size int64) error {
	if f.noTruncate {
		return errors.New("no")
	}
	if err := f.File.Truncate(size); err != nil {
		return err
	}
	_, err := f.File.Seek(size, 0)
	return err
}

func TestDiskFull(t *testing.T) {
	for _, noTruncate := range []bool{false, true} {
		dir, room := t.TempDir(), 250
		c := Open(dir, Options{MaxMemory: 1 << 20, MaxDisk: 1 << 30})
		c.create = func(path string) (file, error) {
			f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
			return fullDisk{f, &room, noTruncate}, err
		}
		full := 0
		for i := range 10 {
			key := string(rune('a' + i))
			err := c.PutThumb(key, body(key, 80))
			if err != nil {
				if full++; !errors.Is(err, ErrFull) {
					t.Fatalf("not of the class: %v", err)
				}
			}
			if got, ok := c.Thumb(key); !ok || !bytes.Equal(got, body(key, 80)) {
				t.Fatal("not even in memory")
			}
			if i == 6 {
				room = 10000 // somebody made room
			}
		}
		if full != 5 { // two fit into 250 bytes; five fail
			t.Errorf("%d of 10 found the disk full", full)
		}
		c.Close()
		again := Open(dir, roomy)
		for i, want := range []bool{true, true, false, false, false, false, false, true, true, true} {
			key := string(rune('a' + i))
			got, ok := again.Thumb(key)
			if ok != want || ok && !bytes.Equal(got, body(key, 80)) {
				t.Errorf("truncating %v: %s is there: %v, want %v", !noTruncate, key, ok, want)
			}
		}
		room = 50
		if err := c.PutRendition("r", body("r", 100)); !errors.Is(err, ErrFull) {
			t.Errorf("rendition: %v", err)
		}
		left, _ := filepath.Glob(filepath.Join(dir, renditionFolder, "*", "*"))
		if len(left) != 0 {
			t.Errorf("left behind: %v", left)
		}
	}
}

// The system's own answer of a full disk, where it has such a device.
func TestDiskFullForReal(t *testing.T) {
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Skip("this system has no /dev/full")
	}
	c := Open(t.TempDir(), roomy)
	c.create = func(path string) (file, error) {
		if err := os.WriteFile(path, nil, 0o666); err != nil { // the cache looks for it by name
			return nil, err
		}
		return os.OpenFile("/dev/full", os.O_WRONLY, 0)
	}
	if err := c.PutThumb("a", []byte("b")); !errors.Is(err, ErrFull) {
		t.Errorf("thumbnail: %v", err)
	}
	if err := c.PutRendition("a", []byte("b")); !errors.Is(err, ErrFull) {
		t.Errorf("rendition: %v", err)
	}
}

func TestOtherErrorsAreNotFull(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a file")
	if err := os.WriteFile(dir, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	c := Open(dir, roomy)
	if err := c.PutThumb("a", nil); err == nil || errors.Is(err, ErrFull) {
		t.Errorf("thumbnail: %v", err)
	}
	if err := c.PutRendition("a", nil); err == nil || errors.Is(err, ErrFull) {
		t.Errorf("rendition: %v", err)
	}
}
