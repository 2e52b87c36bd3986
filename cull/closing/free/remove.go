package free

import (
	"errors"
	"io/fs"
	"path"
	"path/filepath"

	"garner/cull"
	"garner/store"
)

// letGo removes an original that was proved. Each step is durable before the next, and
// any of them may be the last: the package's doc says what holds then. note writes into
// the journal.
func letGo(r *room, h *original, picture []byte, note func() error) (Why, error) {
	if err := r.keep(cull.SmallPath(h.path), picture); err != nil {
		return NotKept, err
	}
	if err := note(); err != nil {
		return NotNoted, err
	}
	if err := h.remove(); err != nil {
		return NotRemoved, err
	}
	// Should this fail, a power failure may bring the original back: it is freed anew.
	_ = r.fsys.SyncDir(filepath.Join(r.root, filepath.FromSlash(path.Dir(h.path))))
	return goes, nil
}

// asideName is what an original is called for the moment before it is removed.
func asideName(name string) string { return "." + name + ".garner-freeing" }

// remove deletes the original that is held, and nothing else: its name may lead to
// another file by now, so what has it is moved aside and looked at before it is
// removed. On failure the file has its name again, unless the error says otherwise.
func (h *original) remove() error {
	aside := asideName(h.name)
	if _, err := h.dir.Lstat(aside); !errors.Is(err, fs.ErrNotExist) {
		if err == nil {
			err = fs.ErrExist
		}
		return store.Wrap("move aside", h.path, err)
	}
	if err := h.dir.Rename(h.name, aside); err != nil {
		return store.Wrap("move aside", h.path, err)
	}
	is, err := h.dir.Lstat(aside)
	if err == nil && !same(h.info, is) {
		err = errSwap
	}
	if err == nil {
		err = h.dir.Remove(aside)
	}
	if err != nil {
		return errors.Join(store.Wrap("remove", h.path, err), putBack(h.dir, h.name, h.path))
	}
	return nil
}

// putBack gives a file that lies aside its name again, unless something has the name.
// A second name is made before the first is taken away, where the file system can do
// that: then nothing that comes to have the name meanwhile is lost.
func putBack(dir folder, name, shown string) error {
	aside := asideName(name)
	err := dir.Link(aside, name)
	if err == nil {
		return store.Wrap("put back", shown, dir.Remove(aside))
	}
	if errors.Is(err, fs.ErrExist) {
		return store.Wrap("put back", shown, err)
	}
	if _, err := dir.Lstat(name); !errors.Is(err, fs.ErrNotExist) {
		if err == nil {
			err = fs.ErrExist
		}
		return store.Wrap("put back", shown, err)
	}
	return store.Wrap("put back", shown, dir.Rename(aside, name))
}
