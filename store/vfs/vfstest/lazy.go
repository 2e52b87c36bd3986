package vfstest

import (
	"io/fs"

	"garner/store/vfs"
)

// Lazy is a file system whose syncs of files, or of folders, do nothing. The code that a
// crash test passes must be found out on it, or the test shows nothing.
type Lazy struct {
	vfs.FS
	File, Folder bool // what is not synced
}

// Lazies are those with one kind of sync missing.
func Lazies() []Lazy { return []Lazy{{File: true}, {Folder: true}} }

// On is the same laziness on another file system.
func (l Lazy) On(fsys vfs.FS) vfs.FS {
	l.FS = fsys
	return l
}

// SyncDir does nothing where folders are not synced.
func (l Lazy) SyncDir(name string) error {
	if l.Folder {
		return nil
	}
	return l.FS.SyncDir(name)
}

// OpenFile opens a file whose Sync does nothing where files are not synced.
func (l Lazy) OpenFile(name string, flag int, perm fs.FileMode) (vfs.File, error) {
	f, err := l.FS.OpenFile(name, flag, perm)
	if err == nil && l.File {
		f = lazyFile{f}
	}
	return f, err
}

type lazyFile struct{ vfs.File }

func (lazyFile) Sync() error { return nil }
