package vfs

import (
	"bytes"
	"os"
	"testing"

	"golang.org/x/sys/unix"
)

// magic is the file system type of a folder (statfs(2)).
func magic(t *testing.T, dir string) int64 {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil {
		t.Skip(err)
	}
	return int64(s.Type)
}

func newFile(t *testing.T, dir string) File {
	t.Helper()
	f, err := CreatePartial(OS{}, dir+"/cached", 0o644)
	if err != nil {
		t.Skip(err)
	}
	t.Cleanup(func() { f.Close(); os.Remove(f.Name()) })
	return f
}

// On a file system with a device behind it, a synced file can be dropped and
// reads back the same; one that is not synced must not be said to be dropped.
func TestDropCacheOnADevice(t *testing.T) {
	dir := t.TempDir()
	if m := magic(t, dir); m != unix.EXT4_SUPER_MAGIC && m != unix.XFS_SUPER_MAGIC && m != unix.BTRFS_SUPER_MAGIC {
		t.Skipf("no ext4, XFS or Btrfs under the folder for temporary files (%#x)", m)
	}
	f := newFile(t, dir)
	content := bytes.Repeat([]byte("0123456789abcdef"), 1<<16)
	if _, err := f.Write(content); err != nil {
		t.Fatal(err)
	}
	if f.DropCache() {
		t.Error("1 MiB that was just written is said to come from the device")
	}
	if err := f.Sync(); err != nil {
		t.Fatal(err)
	}
	if !f.DropCache() {
		t.Error("a synced file could not be dropped from the cache")
	}
	got := make([]byte, len(content))
	if _, err := f.ReadAt(got, 0); err != nil || !bytes.Equal(got, content) {
		t.Errorf("the content read back differs (%v)", err)
	}
}

// A file system in memory has no device to read from.
func TestDropCacheInMemory(t *testing.T) {
	if magic(t, "/dev/shm") != unix.TMPFS_MAGIC {
		t.Skip("no file system in memory here")
	}
	f := newFile(t, "/dev/shm")
	if _, err := f.Write(make([]byte, 1<<16)); err != nil {
		t.Fatal(err)
	}
	f.Sync()
	if f.DropCache() {
		t.Error("a file in memory is said to come from a device")
	}
}
