// Package vfs is the narrow view of a file system through which garner writes
// anything that must not be lost: few operations, each with a stated effect on
// what survives a power failure, so that a memory file system (vfstest) can stand
// in and fail on purpose. [OS] is the real one.
//
// Names are the bytes the system gives; nothing here demands UTF-8.
//
// # Caveats
//
// Nothing but Sync and SyncDir makes anything durable. On Windows a folder can't
// be synced; there renames are written through instead.
package vfs

import (
	"io"
	"io/fs"
	"time"
)

// FS is a file system. Errors carry the system's own numbers (see store.Class)
// and answer to fs.ErrNotExist, fs.ErrExist and fs.ErrPermission.
type FS interface {
	// Open opens a file, or a folder for Stat alone, for reading.
	Open(name string) (File, error)

	// OpenFile opens with the flags of package os. With O_CREATE and O_EXCL it
	// makes a new file or fails with fs.ErrExist. The umask applies to perm.
	OpenFile(name string, flag int, perm fs.FileMode) (File, error)

	// Rename gives a file its new name and replaces what had it.
	Rename(from, to string) error

	// RenameNew is Rename that fails with fs.ErrExist when the new name is
	// taken. Where the file system has no such operation it looks first; see
	// the caveats of package store.
	RenameNew(from, to string) error

	// Clone makes a new file to, which must not exist, that shares the content
	// of from on the disk until one of them is written. It reports false,
	// without an error and with nothing made, where the file system can't.
	Clone(from, to string) (bool, error)

	// Remove deletes a file or an empty folder.
	Remove(name string) error

	// Mkdir makes one folder. [MkdirAll] makes several and makes them durable.
	Mkdir(name string, perm fs.FileMode) error

	// ReadDir lists a folder by name.
	ReadDir(name string) ([]fs.DirEntry, error)

	// Stat follows links, Lstat does not.
	Stat(name string) (fs.FileInfo, error)
	Lstat(name string) (fs.FileInfo, error)

	// Readlink returns what a symbolic link says.
	Readlink(name string) (string, error)

	// SyncDir makes the names in a folder durable. Where a file system has no
	// such thing it does nothing.
	SyncDir(name string) error

	// Chtimes sets the time of modification, and that of access to the same.
	Chtimes(name string, modified time.Time) error

	// Chmod sets the permission bits.
	Chmod(name string, perm fs.FileMode) error

	// FreeSpace returns how many bytes this user can still write below a path.
	// The path, or its end, need not exist yet. A file system that does not say
	// has more than any disk.
	FreeSpace(path string) (int64, error)

	// IsNetwork names the network file system that a path lies on. It reports
	// false for local ones and for those that can't be told from local ones.
	IsNetwork(path string) (string, bool)

	// Token returns a few letters or digits that this file system has not
	// returned before and no other program is going to: the unique part of a
	// partial's name.
	Token() string
}

// File is an open file.
type File interface {
	io.Reader
	io.ReaderAt
	io.Writer
	io.Closer

	// Name returns the name that the file was opened with.
	Name() string

	// Stat returns what Stat of the name would, also when the name is gone.
	Stat() (fs.FileInfo, error)

	// Sync returns when the content and the size are durable.
	Sync() error

	// Truncate sets the size in bytes.
	Truncate(size int64) error

	// Preallocate reserves room for size bytes without changing the size, so
	// that a full disk is known before the first byte. It does nothing where
	// that can't be done, and fails only for want of room.
	Preallocate(size int64) error

	// DropCache makes the following reads of this file come from the device
	// and reports whether they will. Content not yet synced can't be dropped,
	// nor what another program or machine keeps (FUSE, a server).
	DropCache() (bypassed bool)
}

// SameFile reports whether two results of Stat are of one and the same file.
func SameFile(a, b fs.FileInfo) bool {
	if s, ok := a.(sameFiler); ok {
		return s.SameFile(b)
	}
	return sameOS(a, b)
}

// sameFiler is implemented by file infos that do not come from package os.
type sameFiler interface {
	SameFile(other fs.FileInfo) bool
}
