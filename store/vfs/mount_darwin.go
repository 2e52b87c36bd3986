package vfs

import (
	"io/fs"

	"golang.org/x/sys/unix"
)

// MountOf returns the mount that a path, or the nearest existing folder above
// it, lies on.
func MountOf(path string) (Mount, error) {
	at := existing(path)
	var s unix.Statfs_t
	if err := retry(func() error { return unix.Statfs(at, &s) }); err != nil {
		return Mount{}, &fs.PathError{Op: "statfs", Path: at, Err: err}
	}
	return Mount{
		Root:     unix.ByteSliceToString(s.Mntonname[:]),
		Source:   unix.ByteSliceToString(s.Mntfromname[:]),
		Type:     unix.ByteSliceToString(s.Fstypename[:]),
		ReadOnly: s.Flags&unix.MNT_RDONLY != 0,
	}, nil
}
