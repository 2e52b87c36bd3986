package archive

import (
	"bytes"
	"io"
	"io/fs"
	"time"

	"garner/store/vfs"
)

// memory is a file system with one file more, whose bytes are in memory: so what
// has no source is copied, read back and made durable as everything else is.
type memory struct {
	vfs.FS
	path     string // that no file can have
	content  []byte
	modified time.Time
}

// fallback is the time of a content that has none: the first that FAT can keep.
var fallback = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

func inMemory(fsys vfs.FS, p Put) memory {
	if p.Modified.IsZero() {
		p.Modified = fallback
	}
	return memory{fsys, "made for " + p.Path, p.Content, p.Modified}
}

func (m memory) Open(name string) (vfs.File, error) {
	if name != m.path {
		return m.FS.Open(name)
	}
	return memoryFile{m, bytes.NewReader(m.content)}, nil
}

func (m memory) Stat(name string) (fs.FileInfo, error) {
	if name != m.path {
		return m.FS.Stat(name)
	}
	return memoryInfo{m}, nil
}

// memoryFile is that file, open for reading.
type memoryFile struct {
	m memory
	*bytes.Reader
}

func (f memoryFile) Name() string               { return f.m.path }
func (f memoryFile) Stat() (fs.FileInfo, error) { return memoryInfo{f.m}, nil }
func (f memoryFile) DropCache() bool            { return true } // there is none
func (f memoryFile) Close() error               { return nil }
func (f memoryFile) Sync() error                { return nil }
func (f memoryFile) Write([]byte) (int, error)  { return 0, fs.ErrPermission }
func (f memoryFile) Truncate(int64) error       { return fs.ErrPermission }
func (f memoryFile) Preallocate(int64) error    { return fs.ErrPermission }

var _ io.ReaderAt = memoryFile{}

type memoryInfo struct{ m memory }

func (i memoryInfo) Name() string       { return i.m.path }
func (i memoryInfo) Size() int64        { return int64(len(i.m.content)) }
func (i memoryInfo) Mode() fs.FileMode  { return 0o444 }
func (i memoryInfo) ModTime() time.Time { return i.m.modified }
func (i memoryInfo) IsDir() bool        { return false }
func (i memoryInfo) Sys() any           { return nil }

// SameFile tells vfs.SameFile what it needs.
func (i memoryInfo) SameFile(other fs.FileInfo) bool {
	o, ok := other.(memoryInfo)
	return ok && o.m.path == i.m.path
}
