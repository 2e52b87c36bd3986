package free

import (
	"bytes"
	"crypto/sha256"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/preview/small"
	"garner/store/vfs"
)

// watch sees every operation on the disk that freeing asks for, by a name and a path,
// before it happens. What it returns is what the operation fails with.
type watch struct {
	sync.Mutex
	before func(n int, op, path string) error
	n      int      // operations so far
	gone   []string // what was removed, moved or overwritten, by its path
}

func (w *watch) step(op, name string) error {
	w.Lock()
	w.n++
	n := w.n
	switch op {
	case "remove", "rename":
		w.gone = append(w.gone, name)
	}
	before := w.before
	w.Unlock()
	if before != nil {
		return before(n, op, name)
	}
	return nil
}

// through lets options go through it.
func (w *watch) through(o Options) Options {
	o.FS = watchedFS{vfs.OS{}, w}
	o.enter = func(root, p string) (folder, string, error) {
		if err := w.step("enter", p); err != nil {
			return nil, "", err
		}
		dir, name, err := enter(root, p)
		if err != nil {
			return nil, "", err
		}
		return watchedFolder{dir, w, path.Dir(p)}, name, nil
	}
	return o
}

type watchedFolder struct {
	folder
	w   *watch
	dir string
}

func (f watchedFolder) Lstat(name string) (fs.FileInfo, error) {
	if err := f.w.step("lstat", path.Join(f.dir, name)); err != nil {
		return nil, err
	}
	return f.folder.Lstat(name)
}

func (f watchedFolder) Open(name string) (vfs.File, error) {
	if err := f.w.step("open", path.Join(f.dir, name)); err != nil {
		return nil, err
	}
	file, err := f.folder.Open(name)
	if err != nil {
		return nil, err
	}
	return watchedFile{file, f.w, path.Join(f.dir, name)}, nil
}

func (f watchedFolder) Rename(from, to string) error {
	if err := f.w.step("rename", path.Join(f.dir, from)); err != nil {
		return err
	}
	return f.folder.Rename(from, to)
}

func (f watchedFolder) Link(from, to string) error {
	if err := f.w.step("link", path.Join(f.dir, to)); err != nil {
		return err
	}
	return f.folder.Link(from, to)
}

func (f watchedFolder) Remove(name string) error {
	if err := f.w.step("remove", path.Join(f.dir, name)); err != nil {
		return err
	}
	return f.folder.Remove(name)
}

type watchedFile struct {
	vfs.File
	w    *watch
	path string
}

func (f watchedFile) Read(p []byte) (int, error) {
	if err := f.w.step("read", f.path); err != nil {
		return 0, err
	}
	return f.File.Read(p)
}

func (f watchedFile) Write(p []byte) (int, error) {
	if err := f.w.step("write", f.path); err != nil {
		return 0, err
	}
	return f.File.Write(p)
}

func (f watchedFile) Sync() error {
	if err := f.w.step("sync", f.path); err != nil {
		return err
	}
	return f.File.Sync()
}

func (f watchedFile) Links() (int, bool) { return vfs.Links(f.File) }

type watchedFS struct {
	vfs.FS
	w *watch
}

func (f watchedFS) Open(name string) (vfs.File, error) { return f.OpenFile(name, os.O_RDONLY, 0) }

func (f watchedFS) OpenFile(name string, flag int, perm fs.FileMode) (vfs.File, error) {
	op := "open"
	if flag&os.O_CREATE != 0 {
		op = "create"
	}
	if err := f.w.step(op, name); err != nil {
		return nil, err
	}
	file, err := f.FS.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err
	}
	return watchedFile{file, f.w, name}, nil
}

func (f watchedFS) Remove(name string) error {
	if err := f.w.step("remove", name); err != nil {
		return err
	}
	return f.FS.Remove(name)
}

func (f watchedFS) Rename(from, to string) error {
	if err := f.w.step("rename", to); err != nil {
		return err
	}
	return f.FS.Rename(from, to)
}

func (f watchedFS) Lstat(name string) (fs.FileInfo, error) {
	if err := f.w.step("lstat", name); err != nil {
		return nil, err
	}
	return f.FS.Lstat(name)
}

func (f watchedFS) SyncDir(name string) error {
	if err := f.w.step("sync folder", name); err != nil {
		return err
	}
	return f.FS.SyncDir(name)
}

// mayGo are the originals that may be gone in the end, whatever happens on the way.
var mayGo = []string{"A/T0002.DNG", "A/T0003.DNG", "A/T0007.DNG"}

// lost lists what is wrong with the job at this instant: a frame of which neither the
// original is there (perhaps aside) nor a small picture in every bag that is as it was
// made; anything else that is not what it was.
func (w *wedding) lost() (faults []string) {
	for p, b := range w.was {
		if is, err := os.ReadFile(w.abs(p)); err == nil && bytes.Equal(is, b) {
			continue
		}
		aside := path.Join(path.Dir(p), asideName(path.Base(p)))
		if is, err := os.ReadFile(w.abs(aside)); err == nil && bytes.Equal(is, b) && slices.Contains(mayGo, p) {
			continue
		}
		if !slices.Contains(mayGo, p) {
			faults = append(faults, p+" is not what it was")
			continue
		}
		places := []string{w.abs(cull.SmallPath(p))}
		for _, bag := range w.bags {
			places = append(places, filepath.Join(bag, filepath.FromSlash(path.Join(record.SmallFolder, p+".jpg"))))
		}
		for _, at := range places {
			data, err := os.ReadFile(at)
			if err == nil {
				var o small.Original
				if o, err = small.Check(data); err == nil && (o.Path != p || o.Sum != sha256.Sum256(b)) {
					err = errStrange
				}
			}
			if err != nil {
				faults = append(faults, p+" is gone, and "+at+": "+err.Error())
			}
		}
	}
	return faults
}

// astray lists what was removed, moved or overwritten beside originals that may go and
// what freeing makes itself.
func (w *wedding) astray(gone []string) (paths []string) {
	for _, p := range gone {
		dir, base := path.Split(filepath.ToSlash(p))
		name := strings.TrimSuffix(strings.TrimPrefix(base, "."), ".garner-freeing")
		switch {
		case slices.Contains(mayGo, dir+base), slices.Contains(mayGo, dir+name):
		case strings.HasPrefix(p, filepath.Join(w.root, cull.SmallFolder)):
		default:
			paths = append(paths, p)
		}
	}
	return paths
}
