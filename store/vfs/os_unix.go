//go:build linux || darwin

package vfs

import (
	"errors"
	"io/fs"
	"os"

	"golang.org/x/sys/unix"
)

// Rename implements [FS].
func (OS) Rename(from, to string) error { return os.Rename(from, to) }

// RenameNew implements [FS]. In order of preference: the system's own renaming
// without replacing; a second hard link and removing the first, which is as safe
// and only leaves both names if the power fails in between; looking and renaming.
func (OS) RenameNew(from, to string) error {
	err := renameExclusive(from, to)
	if !unsupported(err) {
		if err != nil {
			return &os.LinkError{Op: "rename", Old: from, New: to, Err: err}
		}
		return nil
	}
	err = os.Link(from, to)
	switch {
	case err == nil:
		return os.Remove(from)
	case errors.Is(err, fs.ErrExist), errors.Is(err, fs.ErrNotExist):
		return err
	}
	return renameLooking(from, to)
}

// unsupported reports whether a file system or kernel does not know an operation,
// as against failing at it.
func unsupported(err error) bool {
	return errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOSYS) || errors.Is(err, unix.ENOTSUP) ||
		errors.Is(err, unix.EOPNOTSUPP) || errors.Is(err, unix.ENOTTY)
}

// SyncDir implements [FS].
func (OS) SyncDir(name string) error {
	d, err := os.Open(name)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := syncFolder(d); err != nil && !unsupported(err) {
		return err
	}
	return nil
}

// unknownFree is more than any disk has, in bytes: room that nothing is known of
// is found out about by writing.
const unknownFree = 1 << 50

// FreeSpace implements [FS].
func (OS) FreeSpace(path string) (int64, error) {
	at := existing(path)
	var s unix.Statfs_t
	if err := retry(func() error { return unix.Statfs(at, &s) }); err != nil {
		return 0, &fs.PathError{Op: "statfs", Path: at, Err: err}
	}
	if s.Blocks == 0 { // a file system that does not count, some of FUSE
		return unknownFree, nil
	}
	return int64(s.Bavail) * int64(s.Bsize), nil
}

// retry repeats a call that a signal interrupted.
func retry(call func() error) error {
	for {
		if err := call(); err != unix.EINTR {
			return err
		}
	}
}
