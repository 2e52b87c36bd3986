package vfstest

import (
	"io"
	"io/fs"
	"os"
	"slices"
	"syscall"
	"time"
)

// memFile is an open file of a [Mem].
type memFile struct {
	m      *Mem
	n      *node
	name   string
	flag   int
	pos    int64
	bypass bool
	closed bool
}

// step takes the lock, like [Mem.begin].
func (f *memFile) step(op Op, size int) *Fault {
	f.m.mu.Lock()
	if f.closed {
		return &Fault{Err: os.ErrClosed}
	}
	return f.m.step(op, f.name, size)
}

func (f *memFile) writable() bool { return f.flag&(os.O_WRONLY|os.O_RDWR) != 0 }

// Name implements vfs.File.
func (f *memFile) Name() string { return f.name }

// Read implements vfs.File.
func (f *memFile) Read(p []byte) (int, error) {
	n, err := f.read(p, f.pos)
	f.pos += int64(n)
	return n, err
}

// ReadAt implements vfs.File.
func (f *memFile) ReadAt(p []byte, off int64) (int, error) {
	n, err := f.read(p, off)
	if err == nil && n < len(p) {
		err = io.EOF
	}
	return n, err
}

func (f *memFile) read(p []byte, off int64) (int, error) {
	fault := f.step(OpRead, len(p))
	defer f.m.mu.Unlock()
	switch {
	case f.n.isDir():
		return 0, pathErr(OpRead, f.name, syscall.EISDIR)
	case f.flag&os.O_WRONLY != 0:
		return 0, pathErr(OpRead, f.name, syscall.EBADF)
	case off < 0:
		return 0, pathErr(OpRead, f.name, syscall.EINVAL)
	}
	n := 0
	if off < int64(len(f.n.data)) {
		n = copy(p, f.n.data[off:])
	}
	if f.bypass || !f.n.cached {
		f.n.medium(p[:n], off)
	}
	switch {
	case fault != nil:
		return min(n, fault.Short), pathErr(OpRead, f.name, fault.Err)
	case f.n.bad >= 0 && off+int64(n) > f.n.bad:
		return int(max(f.n.bad-off, 0)), pathErr(OpRead, f.name, syscall.EIO)
	case n == 0 && len(p) > 0:
		return 0, io.EOF
	}
	return n, nil
}

// Write implements vfs.File.
func (f *memFile) Write(p []byte) (int, error) {
	fault := f.step(OpWrite, len(p))
	defer f.m.mu.Unlock()
	if !f.writable() {
		return 0, pathErr(OpWrite, f.name, syscall.EBADF)
	}
	n, err := len(p), error(nil)
	if fault != nil {
		n, err = min(n, fault.Short), fault.Err
	}
	if f.flag&os.O_APPEND != 0 {
		f.pos = int64(len(f.n.data))
	}
	if most := f.m.opt.MaxFile; most > 0 && f.pos+int64(n) > most {
		n, err = int(max(most-f.pos, 0)), syscall.EFBIG
	}
	if room := f.m.room(); f.pos+int64(n)-int64(len(f.n.data)) > room {
		n, err = int(max(int64(len(f.n.data))+room-f.pos, 0)), syscall.ENOSPC
	}
	if n > 0 {
		f.m.used += f.n.writeAt(p[:n], f.pos)
		f.n.mtime = f.m.stamp(f.m.now)
		f.pos += int64(n)
	}
	return n, pathErr(OpWrite, f.name, err)
}

// room is how much content still fits.
func (m *Mem) room() int64 {
	if m.opt.Capacity == 0 {
		return 1 << 62
	}
	return max(m.opt.Capacity-m.used, 0)
}

// Sync implements vfs.File.
func (f *memFile) Sync() error {
	fault := f.step(OpSync, 0)
	defer f.m.mu.Unlock()
	if fault != nil {
		return pathErr(OpSync, f.name, fault.Err)
	}
	f.n.sync()
	return nil
}

// Truncate implements vfs.File.
func (f *memFile) Truncate(size int64) error {
	fault := f.step(OpTruncate, 0)
	defer f.m.mu.Unlock()
	err := f.fits(fault, size)
	if err == nil {
		f.m.used += f.n.resize(size)
	}
	return pathErr(OpTruncate, f.name, err)
}

// Preallocate implements vfs.File. It looks whether there is room and keeps none
// on the disk; memory it does set aside, for tests of many bytes to be quick.
func (f *memFile) Preallocate(size int64) error {
	fault := f.step(OpPreallocate, 0)
	defer f.m.mu.Unlock()
	err := f.fits(fault, size)
	if more := size - int64(len(f.n.data)); err == nil && more > 0 && size <= 64<<20 {
		f.n.data = slices.Grow(f.n.data, int(more))
	}
	return pathErr(OpPreallocate, f.name, err)
}

func (f *memFile) fits(fault *Fault, size int64) error {
	switch {
	case fault != nil:
		return fault.Err
	case !f.writable():
		return syscall.EBADF
	case f.m.opt.MaxFile > 0 && size > f.m.opt.MaxFile:
		return syscall.EFBIG
	case size-int64(len(f.n.data)) > f.m.room():
		return syscall.ENOSPC
	}
	return nil
}

// DropCache implements vfs.File. Like the real thing it can't drop what was not
// synced.
func (f *memFile) DropCache() bool {
	fault := f.step(OpDropCache, 0)
	defer f.m.mu.Unlock()
	if fault != nil || f.m.opt.NoBypass || !f.n.clean {
		return false
	}
	f.bypass, f.n.cached = true, false
	return true
}

// Stat implements vfs.File.
func (f *memFile) Stat() (fs.FileInfo, error) {
	fault := f.step(OpStat, 0)
	defer f.m.mu.Unlock()
	if fault != nil {
		return nil, pathErr(OpStat, f.name, fault.Err)
	}
	base := "/"
	if parts := split(f.name); len(parts) > 0 {
		base = parts[len(parts)-1]
	}
	return f.n.info(base), nil
}

// Close implements vfs.File.
func (f *memFile) Close() error {
	fault := f.step(OpClose, 0)
	defer f.m.mu.Unlock()
	if f.closed {
		return pathErr(OpClose, f.name, os.ErrClosed)
	}
	f.closed = true
	if fault != nil {
		return pathErr(OpClose, f.name, fault.Err)
	}
	return nil
}

// info is what Stat returns: a picture of a node at one moment.
type info struct {
	name  string
	size  int64
	mode  fs.FileMode
	mtime time.Time
	id    int64
}

func (n *node) info(name string) info {
	return info{name, int64(len(n.data)), n.mode, n.mtime, n.id}
}

func (i info) Name() string       { return i.name }
func (i info) Size() int64        { return i.size }
func (i info) Mode() fs.FileMode  { return i.mode }
func (i info) ModTime() time.Time { return i.mtime }
func (i info) IsDir() bool        { return i.mode.IsDir() }
func (i info) Sys() any           { return nil }

// SameFile tells vfs.SameFile what it needs.
func (i info) SameFile(other fs.FileInfo) bool {
	o, ok := other.(info)
	return ok && o.id == i.id
}
