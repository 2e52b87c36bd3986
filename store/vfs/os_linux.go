package vfs

import (
	"errors"
	"os"
	"unsafe"

	"golang.org/x/sys/unix"
)

func renameExclusive(from, to string) error {
	return retry(func() error {
		return unix.Renameat2(unix.AT_FDCWD, from, unix.AT_FDCWD, to, unix.RENAME_NOREPLACE)
	})
}

// Clone implements [FS] with FICLONE (ioctl_ficlone(2)).
func (OS) Clone(from, to string) (bool, error) {
	src, err := os.Open(from)
	if err != nil {
		return false, err
	}
	defer src.Close()
	dst, err := os.OpenFile(to, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return false, err
	}
	err = retry(func() error { return unix.IoctlFileClone(int(dst.Fd()), int(src.Fd())) })
	if cerr := dst.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		return true, nil
	}
	os.Remove(to) // made above, by us alone
	if unsupported(err) || errors.Is(err, unix.EXDEV) || errors.Is(err, unix.EBADF) {
		return false, nil
	}
	return false, &os.LinkError{Op: "clone", Old: from, New: to, Err: err}
}

// Preallocate implements [File]. The size stays as it is, so that the length
// check after writing still counts what was written.
func (f osFile) Preallocate(size int64) error {
	if size <= 0 {
		return nil
	}
	err := retry(func() error { return unix.Fallocate(int(f.Fd()), unix.FALLOC_FL_KEEP_SIZE, 0, size) })
	if errors.Is(err, unix.ENOSPC) || errors.Is(err, unix.EDQUOT) || errors.Is(err, unix.EFBIG) {
		return &os.PathError{Op: "preallocate", Path: f.Name(), Err: err}
	}
	return nil
}

// DropCache implements [File]: posix_fadvise(2) drops clean pages but says
// nothing about those it kept, so mincore(2) is asked whether any is left.
// A file system in memory has nothing but the cache and reports false, and so
// does one whose cache is not the system's alone (see cachesItself).
func (f osFile) DropCache() bool {
	fd := int(f.Fd())
	if unix.Fadvise(fd, 0, 0, unix.FADV_DONTNEED) != nil {
		return false
	}
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	unix.Fadvise(fd, 0, 0, unix.FADV_SEQUENTIAL) // only speed
	return !cachesItself(fd) && nothingResident(fd, info.Size())
}

const zfsMagic = 0x2FC12FC1 // OpenZFS, include/sys/fs/zfs.h

// cachesItself reports whether a file system may answer from memory though no
// page of the file is in the cache: a FUSE program reads its device through the
// cache of that device, ZFS has a cache of its own, a server its memory.
func cachesItself(fd int) bool {
	var s unix.Statfs_t
	if retry(func() error { return unix.Fstatfs(fd, &s) }) != nil {
		return true
	}
	_, network := networkMagic[uint32(s.Type)]
	return network || uint32(s.Type) == fuseMagic || uint32(s.Type) == zfsMagic
}

// window is how much of a file is mapped at once to look at its pages.
const window = 1 << 28

func nothingResident(fd int, size int64) bool {
	page := int64(os.Getpagesize())
	vec := make([]byte, (min(size, window)+page-1)/page)
	for off := int64(0); off < size; off += window {
		n := min(size-off, window)
		m, err := unix.Mmap(fd, off, int(n), unix.PROT_NONE, unix.MAP_SHARED)
		if err != nil {
			return false
		}
		v := vec[:(n+page-1)/page]
		_, _, errno := unix.Syscall(unix.SYS_MINCORE, uintptr(unsafe.Pointer(&m[0])), uintptr(n), uintptr(unsafe.Pointer(&v[0])))
		unix.Munmap(m)
		if errno != 0 {
			return false
		}
		for _, b := range v {
			if b&1 != 0 {
				return false
			}
		}
	}
	return true
}
