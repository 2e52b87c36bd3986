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
	return mountOf(&s), nil
}

func mountOf(s *unix.Statfs_t) Mount {
	return Mount{
		Root:     unix.ByteSliceToString(s.Mntonname[:]),
		Source:   unix.ByteSliceToString(s.Mntfromname[:]),
		Type:     unix.ByteSliceToString(s.Fstypename[:]),
		ReadOnly: s.Flags&unix.MNT_RDONLY != 0,
	}
}

// Mounts returns all mounts. The system answers from what it knows, so that a
// server that is away holds nobody up.
func Mounts() ([]Mount, error) {
	n, err := unix.Getfsstat(nil, unix.MNT_NOWAIT)
	if err != nil {
		return nil, &fs.PathError{Op: "list mounts", Path: "/", Err: err}
	}
	table := make([]unix.Statfs_t, n+8) // there may be new ones by now
	if n, err = unix.Getfsstat(table, unix.MNT_NOWAIT); err != nil {
		return nil, &fs.PathError{Op: "list mounts", Path: "/", Err: err}
	}
	var mounts []Mount
	for i := range table[:n] {
		mounts = append(mounts, mountOf(&table[i]))
	}
	return mounts, nil
}
