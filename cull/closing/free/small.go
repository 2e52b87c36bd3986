package free

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"garner/cull/job"
	"garner/store"
	"garner/store/atomicfile"
	"garner/store/copy"
	"garner/store/vfs"
)

// room is the job's folder, as far as small pictures are put into it.
type room struct {
	fsys  vfs.FS
	root  string
	swept map[string]bool // folders in which partials of a killed run were looked for
}

// keep puts a small picture into the job and reads it back: from then on it is there,
// durably, under a name that no link leads to. One that is there already is not written
// again; another file of that name stays what it is, and is an error.
func (r *room) keep(path string, data []byte) error {
	name := filepath.Join(r.root, filepath.FromSlash(path))
	dir := filepath.Dir(name)
	if err := r.plainFolders(path); err != nil {
		return err
	}
	if err := vfs.MkdirAll(r.fsys, dir, 0o777); err != nil {
		return err
	}
	if !r.swept[dir] {
		r.swept[dir] = true
		if _, err := vfs.Sweep(r.fsys, dir); err != nil {
			return err
		}
	}
	switch _, err := r.fsys.Lstat(name); {
	case errors.Is(err, fs.ErrNotExist):
		if err := atomicfile.WriteFile(r.fsys, name, data, 0o666); err != nil {
			return err
		}
	case err != nil:
		return store.Wrap("look at", path, err)
	}
	is, err := readFile(r.fsys, name)
	if err != nil {
		return err
	}
	if !bytes.Equal(is, data) {
		return store.Wrap("write", path, store.ErrDiffers)
	}
	// It may be there from a run that was killed before this.
	if err := r.synced(name, dir); err != nil {
		return err
	}
	return r.plainFolders(path) // still
}

// synced makes a file that may have been there durable, and its name.
func (r *room) synced(name, dir string) error {
	f, err := r.fsys.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return store.Wrap("sync", name, err)
	}
	err = f.Sync()
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = r.fsys.SyncDir(dir)
	}
	return store.Wrap("sync", name, err)
}

// plainFolders makes sure that the folders of a path, as far as they exist, are folders
// of the job, and no links to elsewhere.
func (r *room) plainFolders(path string) error {
	for dir := filepath.Dir(filepath.FromSlash(path)); dir != "."; dir = filepath.Dir(dir) {
		switch info, err := r.fsys.Lstat(filepath.Join(r.root, dir)); {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return store.Wrap("look at", dir, err)
		case !info.IsDir():
			return store.Wrap("look at", dir, errLink)
		}
	}
	return nil
}

// sumOf is the SHA-256 of a file.
func sumOf(ctx context.Context, fsys vfs.FS, name string) (job.Sum, error) {
	c, err := copy.ReadBack(ctx, fsys, name)
	return job.Sum(c.Sum), err
}
