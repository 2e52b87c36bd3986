package manifest

import (
	"errors"
	"io/fs"
	"maps"

	"garner/store"
	"garner/store/atomicfile"
	"garner/store/vfs"
)

// Load reads the manifest at path; a missing one is empty.
func Load(fsys vfs.FS, path string) (map[string]Sum, error) {
	f, err := fsys.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return map[string]Sum{}, nil
	}
	if err != nil {
		return nil, store.Wrap("read", path, err)
	}
	defer f.Close()
	sums, err := Read(f)
	if err != nil {
		return nil, store.Wrap("read", path, err)
	}
	return sums, nil
}

// Save replaces the manifest at path, durably, as atomicfile.WriteFile does. The
// folder is made.
func Save(fsys vfs.FS, path string, sums map[string]Sum) error {
	if err := vfs.MkdirAll(fsys, vfs.Dir(path), 0o777); err != nil {
		return err
	}
	w, err := atomicfile.Create(fsys, path, 0o666)
	if err != nil {
		return err
	}
	defer w.Discard()
	if err := Write(w, sums); err != nil {
		return store.Wrap("write", path, err)
	}
	return w.Commit()
}

// Add puts sums into the manifest at path, or replaces those of the same names.
// One that can't be read is left as it is. Whoever calls it sees to it that
// nobody else does so at the same time: it reads, and then replaces.
func Add(fsys vfs.FS, path string, sums map[string]Sum) error {
	all, err := Load(fsys, path)
	if err != nil {
		return err
	}
	maps.Copy(all, sums)
	return Save(fsys, path, all)
}
