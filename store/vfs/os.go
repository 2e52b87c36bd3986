package vfs

import (
	"crypto/rand"
	"encoding/hex"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// OS is the file system of the machine.
type OS struct{}

var _ FS = OS{}

type osFile struct{ *os.File }

func opened(f *os.File, err error) (File, error) {
	if err != nil {
		return nil, err // a nil *os.File in a File would not be nil
	}
	return osFile{f}, nil
}

// Open implements [FS].
func (OS) Open(name string) (File, error) { return opened(os.Open(name)) }

// OpenFile implements [FS].
func (OS) OpenFile(name string, flag int, perm fs.FileMode) (File, error) {
	return opened(os.OpenFile(name, flag, perm))
}

// Remove implements [FS].
func (OS) Remove(name string) error { return os.Remove(name) }

// Mkdir implements [FS].
func (OS) Mkdir(name string, perm fs.FileMode) error { return os.Mkdir(name, perm) }

// ReadDir implements [FS].
func (OS) ReadDir(name string) ([]fs.DirEntry, error) { return os.ReadDir(name) }

// Stat implements [FS].
func (OS) Stat(name string) (fs.FileInfo, error) { return os.Stat(name) }

// Lstat implements [FS].
func (OS) Lstat(name string) (fs.FileInfo, error) { return os.Lstat(name) }

// Readlink implements [FS].
func (OS) Readlink(name string) (string, error) { return os.Readlink(name) }

// Chtimes implements [FS].
func (OS) Chtimes(name string, modified time.Time) error {
	return os.Chtimes(name, modified, modified)
}

// Chmod implements [FS].
func (OS) Chmod(name string, perm fs.FileMode) error { return os.Chmod(name, perm) }

// Token implements [FS] with 64 random bits.
func (OS) Token() string {
	var b [8]byte
	rand.Read(b[:]) // never fails (documented of crypto/rand)
	return hex.EncodeToString(b[:])
}

func sameOS(a, b fs.FileInfo) bool { return os.SameFile(a, b) }

// existing returns the path or the nearest folder above it that exists: asked
// for a folder that is to be made, the system answers for where it will lie.
func existing(path string) string {
	abs, err := filepath.Abs(path)
	if err != nil {
		return path
	}
	for {
		if _, err := os.Stat(abs); err == nil {
			return abs
		}
		up := filepath.Dir(abs)
		if up == abs {
			return abs
		}
		abs = up
	}
}

// renameLooking is the last resort of RenameNew.
func renameLooking(from, to string) error {
	if _, err := os.Lstat(to); err == nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: fs.ErrExist}
	}
	return os.Rename(from, to)
}
