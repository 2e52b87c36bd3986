// Package atomicfile replaces a file so that it is the old one or the new one at
// every instant, also after a power failure, and never half of either. When
// [WriteFile] or [Writer.Commit] returns nil the new content is durable; the
// contract with its failures is in package store.
//
// The steps, in the order that makes this true: a partial beside the target,
// write, compare the length, permission bits, sync, close, rename, sync the
// folder. A file system that is told to rename first may do so first, and leave a
// file of zero length under the final name; hence the sync before.
//
// # Links and permissions
//
// A symbolic link stays and the file that it leads to is replaced (also one that
// does not exist yet): people link sidecars and settings into other folders on
// purpose. Hard links are broken up: the other names keep the old content. An
// existing file's permission bits are kept, its owner is not.
package atomicfile

import (
	"errors"
	"io"
	"io/fs"

	"garner/store"
	"garner/store/vfs"
)

// Writer collects the new content of a file. The target changes only with
// [Writer.Commit]; without it, [Writer.Discard] leaves everything as it was.
type Writer struct {
	fsys   vfs.FS
	target string // what is replaced, links followed
	name   string // what the caller said, for messages
	tmp    vfs.File
	n      int64
	keep   fs.FileMode // permission bits to set
	keeps  bool
	err    error // the first failure; later calls return it again
	over   bool  // committed or discarded: the partial is no longer ours
}

// Create begins to write a file. Of perm the umask takes its part, and an
// existing file's bits come before it. A folder, device or pipe is not replaced.
func Create(fsys vfs.FS, path string, perm fs.FileMode) (*Writer, error) {
	target, err := vfs.Follow(fsys, path)
	if err != nil {
		return nil, err
	}
	w := &Writer{fsys: fsys, target: target, name: path}
	info, err := fsys.Lstat(target)
	switch {
	case err == nil && !info.Mode().IsRegular():
		return nil, store.Wrap("replace", path, store.ErrNotRegular)
	case err == nil:
		w.keep, w.keeps = info.Mode().Perm(), true
		perm &= w.keep // nobody may read the partial who may not read the file
	case !errors.Is(err, fs.ErrNotExist):
		return nil, store.Wrap("replace", path, err)
	}
	// The owner must be able to write the partial, whatever the bits will be.
	w.tmp, err = vfs.CreatePartial(fsys, target, perm|0o200)
	if err != nil {
		return nil, store.Wrap("create", path, err)
	}
	if !w.keeps && perm&0o200 == 0 {
		w.keep, w.keeps = perm, true
	}
	return w, nil
}

// Write adds to the new content. After a failure it only returns that failure.
func (w *Writer) Write(p []byte) (int, error) {
	if w.over && w.err == nil {
		return 0, store.Wrap("write", w.name, fs.ErrClosed)
	}
	if w.err != nil {
		return 0, w.err
	}
	n, err := w.tmp.Write(p)
	w.n += int64(n)
	if err == nil && n < len(p) {
		err = io.ErrShortWrite
	}
	w.err = store.Wrap("write", w.name, err)
	return n, w.err
}

// Commit makes the new content the file's content, durably. When it fails the
// file is what it was and the partial is gone, but for one case: an error with
// the operation "sync folder" means that the new content is in place, whole, and
// not known to be durable.
func (w *Writer) Commit() error {
	if w.over {
		if w.err == nil {
			return store.Wrap("write", w.name, fs.ErrClosed)
		}
		return w.err
	}
	w.finish()
	if w.err != nil {
		w.Discard()
		return w.err
	}
	w.err = store.Wrap("rename", w.name, w.fsys.Rename(w.tmp.Name(), w.target))
	if w.err != nil {
		w.fsys.Remove(w.tmp.Name())
		w.over = true
		return w.err
	}
	// From here on the partial's name is not ours: whatever had it now would
	// be somebody else's.
	w.over = true
	w.err = store.Wrap("sync folder", w.name, w.fsys.SyncDir(vfs.Dir(w.target)))
	return w.err
}

// finish brings the partial to the disk, complete and closed.
func (w *Writer) finish() {
	step := func(op string, f func() error) {
		if w.err == nil {
			w.err = store.Wrap(op, w.name, f())
		}
	}
	step("write", func() error {
		info, err := w.tmp.Stat()
		if err == nil && info.Size() != w.n {
			err = store.ErrMismatch
		}
		// FAT keeps no permissions, and some systems refuse to set them there.
		w.keeps = w.keeps && err == nil && info.Mode().Perm() != w.keep
		return err
	})
	if w.keeps {
		step("set permissions", func() error { return w.fsys.Chmod(w.tmp.Name(), w.keep) })
	}
	step("sync", w.tmp.Sync)
	step("close", w.tmp.Close)
}

// Discard gives the new content up. After Commit it does nothing, so it can
// stand in a defer.
func (w *Writer) Discard() {
	if w.over {
		return
	}
	w.over = true
	w.tmp.Close() // may be closed already; Windows can't remove an open file
	w.fsys.Remove(w.tmp.Name())
}

// WriteFile replaces a file's content, or makes the file with perm. See [Create]
// and [Writer.Commit].
func WriteFile(fsys vfs.FS, path string, data []byte, perm fs.FileMode) error {
	w, err := Create(fsys, path, perm)
	if err != nil {
		return err
	}
	w.Write(data) // Commit returns its error
	return w.Commit()
}

// Sweep removes what writers that were killed have left in a folder; see
// [vfs.Sweep]. It belongs at the start of a work, before anything is written.
func Sweep(fsys vfs.FS, dir string) (removed []string, err error) {
	return vfs.Sweep(fsys, dir)
}
