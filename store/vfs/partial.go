package vfs

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"garner/store"
)

// PartialPath returns the path of a new partial beside target. Nothing is made.
// It lies in the target's folder because a rename works only inside one file
// system, and the folder for temporary files may be on another.
func PartialPath(fsys FS, target string) string {
	dir, base := filepath.Split(target)
	return dir + store.PartialName(base, fsys.Token())
}

// CreatePartial makes a new, empty partial beside target, open for reading and
// writing. Its path is the file's Name.
func CreatePartial(fsys FS, target string, perm fs.FileMode) (File, error) {
	f, err := fsys.OpenFile(PartialPath(fsys, target), os.O_RDWR|os.O_CREATE|os.O_EXCL, perm)
	if err != nil {
		return nil, store.Wrap("create", target, err)
	}
	return f, nil
}

// Sweep removes the partials of a folder, not of the folders below it, and
// returns the names of those removed. Nothing else is touched: what is not a
// regular file, or is not named as [store.PartialName] does, stays.
//
// It must not run while a garner writes into the folder: that work would fail
// (with an error, not with wrong content). A folder that is missing is swept.
func Sweep(fsys FS, dir string) (removed []string, err error) {
	entries, err := fsys.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, store.Wrap("sweep", dir, err)
	}
	var failed []error
	for _, e := range entries {
		if !store.IsPartial(e.Name()) || !e.Type().IsRegular() {
			continue
		}
		path := filepath.Join(dir, e.Name())
		if err := fsys.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			failed = append(failed, store.Wrap("remove", path, err))
			continue
		}
		removed = append(removed, e.Name())
	}
	return removed, errors.Join(failed...)
}
