package vfs

import (
	"errors"
	"io/fs"
	"path/filepath"
	"syscall"

	"garner/store"
)

// Dir returns the folder that a path's last element lies in. Unlike filepath.Dir
// it does not tidy: "link/../x" lies in "link/..", which is not always ".".
func Dir(path string) string {
	dir, _ := filepath.Split(path)
	if dir == "" {
		return "."
	}
	return dir
}

// MkdirAll makes a folder and every missing one above it, each durable before
// the next: what is put into the folder later is not lost with a parent's name.
// A folder that is already there is left as it is.
func MkdirAll(fsys FS, dir string, perm fs.FileMode) error {
	info, err := fsys.Stat(dir)
	switch {
	case err == nil && info.IsDir():
		return nil
	case err == nil:
		return store.Wrap("make folder", dir, syscall.ENOTDIR)
	case !errors.Is(err, fs.ErrNotExist):
		return store.Wrap("make folder", dir, err)
	}
	up := filepath.Dir(dir)
	if up == dir {
		return store.Wrap("make folder", dir, err)
	}
	if err := MkdirAll(fsys, up, perm); err != nil {
		return err
	}
	if err := fsys.Mkdir(dir, perm); err != nil && !errors.Is(err, fs.ErrExist) {
		return store.Wrap("make folder", dir, err)
	}
	return store.Wrap("sync folder", up, fsys.SyncDir(up))
}

// maxLinks is how many symbolic links [Follow] goes along, as Linux does.
const maxLinks = 40

// Follow returns the path at the end of the symbolic links that a path's last
// element may be. The end need not exist. It is what must be replaced when a
// linked file is to get new content and the link is to stay.
func Follow(fsys FS, path string) (string, error) {
	at := path
	for range maxLinks {
		info, err := fsys.Lstat(at)
		if errors.Is(err, fs.ErrNotExist) {
			return at, nil
		}
		if err != nil {
			return "", store.Wrap("follow", path, err)
		}
		if info.Mode()&fs.ModeSymlink == 0 {
			return at, nil
		}
		to, err := fsys.Readlink(at)
		if err != nil {
			return "", store.Wrap("follow", path, err)
		}
		if !filepath.IsAbs(to) {
			// Not filepath.Join, which would take "link/.." for nothing.
			dir, _ := filepath.Split(at)
			to = dir + to
		}
		at = to
	}
	return "", store.Wrap("follow", path, syscall.ELOOP)
}
