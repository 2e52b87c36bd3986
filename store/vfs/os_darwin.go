package vfs

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

func renameExclusive(from, to string) error {
	return retry(func() error { return unix.RenamexNp(from, to, unix.RENAME_EXCL) })
}

// Clone implements [FS] with clonefile(2).
func (OS) Clone(from, to string) (bool, error) {
	err := retry(func() error { return unix.Clonefile(from, to, 0) })
	switch {
	case err == nil:
		// A clone inherits the permission bits; a copy of a locked file is
		// still ours to sync and to rename.
		if info, err := os.Stat(to); err == nil && info.Mode().Perm()&0o600 != 0o600 {
			os.Chmod(to, info.Mode().Perm()|0o600)
		}
		return true, nil
	case unsupported(err), errors.Is(err, unix.EXDEV):
		return false, nil
	}
	return false, &os.LinkError{Op: "clone", Old: from, New: to, Err: err}
}

// Preallocate implements [File] with F_PREALLOCATE (fcntl(2)), which reserves
// room behind the end of the file and leaves its size.
func (f osFile) Preallocate(size int64) error {
	if size <= 0 {
		return nil
	}
	store := unix.Fstore_t{Flags: unix.F_ALLOCATEALL, Posmode: unix.F_PEOFPOSMODE, Length: size}
	err := retry(func() error { return unix.FcntlFstore(f.Fd(), unix.F_PREALLOCATE, &store) })
	if errors.Is(err, unix.ENOSPC) || errors.Is(err, unix.EDQUOT) || errors.Is(err, unix.EFBIG) {
		return &os.PathError{Op: "preallocate", Path: f.Name(), Err: err}
	}
	return nil
}

func syncFolder(d *os.File) error { return d.Sync() }

// window is how much of a file is mapped at once to drop its pages.
const window = 1 << 28

// DropCache implements [File]: F_NOCACHE (fcntl(2)) keeps the reads to come out
// of the cache, but pages that are in it already would still answer; msync(2)
// with MS_INVALIDATE throws those away.
func (f osFile) DropCache() bool {
	fd := int(f.Fd())
	if _, err := unix.FcntlInt(f.Fd(), unix.F_NOCACHE, 1); err != nil {
		return false
	}
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	for off := int64(0); off < info.Size(); off += window {
		m, err := unix.Mmap(fd, off, int(min(info.Size()-off, window)), unix.PROT_READ, unix.MAP_SHARED)
		if err != nil {
			return false
		}
		err = unix.Msync(m, unix.MS_INVALIDATE)
		unix.Munmap(m)
		if err != nil {
			return false
		}
	}
	return true
}

// IsNetwork implements [FS]: the system itself says whether a mount is local.
func (OS) IsNetwork(path string) (string, bool) {
	var s unix.Statfs_t
	at := existing(path)
	if retry(func() error { return unix.Statfs(at, &s) }) != nil || s.Flags&unix.MNT_LOCAL != 0 {
		return "", false
	}
	return unix.ByteSliceToString(s.Fstypename[:]), true
}
