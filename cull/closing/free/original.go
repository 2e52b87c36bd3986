package free

import (
	"context"
	"errors"
	"io"
	"io/fs"

	"garner/store"
	"garner/store/vfs"
)

// original is a file of the job that is held open, in its folder that is held open,
// from the first proof to its removal. While it is open the system gives what tells it
// from others to no other file.
type original struct {
	dir  folder
	name string // in dir
	path string // in the job, for messages
	file vfs.File
	info fs.FileInfo
}

// hold opens an original: a regular file, reached without a link, that has one name.
func hold(dir folder, name, path string) (*original, error) {
	info, err := dir.Lstat(name)
	if err != nil {
		return nil, store.Wrap("look at", path, err)
	}
	if !info.Mode().IsRegular() {
		return nil, store.Wrap("open", path, store.ErrNotRegular)
	}
	f, err := dir.Open(name)
	if err != nil {
		return nil, store.Wrap("open", path, err)
	}
	h := &original{dir, name, path, f, info}
	if err := h.alone(); err != nil {
		f.Close()
		return nil, store.Wrap("look at", path, err)
	}
	return h, nil
}

// alone makes sure that what was opened is what was looked at, and nothing else leads
// to it.
func (h *original) alone() error {
	is, err := h.file.Stat()
	if err != nil {
		return err
	}
	if !same(h.info, is) {
		return errSwap
	}
	switch n, known := vfs.Links(h.file); {
	case !known || n < 1:
		return errUnsure
	case n > 1:
		return errNames
	}
	return nil
}

// same reports whether two looks are at one file that was not written in between.
func same(a, b fs.FileInfo) bool {
	return vfs.SameFile(a, b) && b.Mode().IsRegular() && a.Size() == b.Size() && a.ModTime().Equal(b.ModTime())
}

func (h *original) close() { h.file.Close() }

// size is the file's size in bytes.
func (h *original) size() int64 { return h.info.Size() }

// sum reads the whole open file, past the system's cache where that can be done.
func (h *original) sum(ctx context.Context) ([32]byte, error) {
	h.file.DropCache()
	d := store.NewDigest()
	buf := make([]byte, 1<<20)
	for {
		if err := ctx.Err(); err != nil {
			return [32]byte{}, err
		}
		n, err := h.file.Read(buf)
		d.Write(buf[:n])
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return [32]byte{}, store.WrapAt("read", h.path, d.Size(), err)
		}
	}
	is, err := h.file.Stat()
	if err == nil && (d.Size() != h.size() || !same(h.info, is)) {
		err = store.ErrChanged
	}
	return d.Sum(), store.Wrap("read", h.path, err)
}
