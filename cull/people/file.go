package people

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"garner/store"
	"garner/store/vfs"
)

// The names in the state folder. During a replacement the new content stands
// beside the file, and the former one until it is overwritten; package vfs's
// partials are removed without overwriting and by whoever sweeps, so these are none.
const (
	fileName = "people.db"
	newName  = "people.db.new"
	oldName  = "people.db.old"
	lockName = "people.lock"
)

// folder is where the file lies. Its methods are for whoever has the lock.
//
// What a replacement goes through, each step durable before the next:
//
//	            people.db   .new   .old    what settle makes of it
//	            former                     former
//	write       former      new            former (new may be torn)
//	move away               new    former  new
//	move in     new                former  new
//	overwrite   new                zeros   new
//	remove      new                        new
//
// A removal moves away and goes on as if there were nothing to move in: former
// alone, under .old, is what was to be removed.
type folder struct {
	fs  vfs.FS
	dir string
}

func (d folder) path(name string) string { return filepath.Join(d.dir, name) }

// has reports whether there is a file of a name. Anything else of that name, such
// as a link, is an error: it is nothing of ours.
func (d folder) has(name string) (bool, error) {
	info, err := d.fs.Lstat(d.path(name))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, store.Wrap("look at", d.path(name), err)
	case !info.Mode().IsRegular():
		return false, store.Wrap("look at", d.path(name), store.ErrNotRegular)
	}
	return true, nil
}

// read returns the content of a file; nil if there is none.
func (d folder) read(name string) ([]byte, error) {
	if ok, err := d.has(name); !ok {
		return nil, err
	}
	f, err := d.fs.Open(d.path(name))
	if err != nil {
		return nil, store.Wrap("open", d.path(name), err)
	}
	defer f.Close()
	info, err := f.Stat()
	switch {
	case err != nil:
		return nil, store.Wrap("read", d.path(name), err)
	case info.Size() > maxSize:
		return nil, fmt.Errorf("%w: it is too large", ErrDamaged)
	}
	b := make([]byte, info.Size())
	if _, err := io.ReadFull(f, b); err != nil {
		clear(b)
		return nil, store.Wrap("read", d.path(name), err)
	}
	return b, nil
}

// load returns the state as it stands; a missing file is an empty one.
func (d folder) load() (*state, error) {
	b, err := d.read(fileName)
	if err != nil || b == nil {
		return newState(), err
	}
	defer clear(b)
	return decode(b)
}

// replace makes content the file's content, durably.
func (d folder) replace(content []byte) error {
	if err := d.settle(); err != nil {
		return err
	}
	err := d.write(newName, content)
	if err == nil {
		err = d.sync() // before the former one loses its name
	}
	if err != nil {
		return errors.Join(err, d.scrub(newName))
	}
	had, err := d.has(fileName)
	if err == nil && had {
		if err = d.move(fileName, oldName); err == nil {
			err = d.sync()
		}
	}
	if err != nil {
		return err // settle knows what it is
	}
	if err := d.move(newName, fileName); err != nil {
		return err
	}
	if err := d.sync(); err != nil || !had {
		return err
	}
	return d.scrub(oldName)
}

// remove removes the file, durably. There being none is no error.
func (d folder) remove() error {
	if err := d.settle(); err != nil {
		return err
	}
	had, err := d.has(fileName)
	if err != nil || !had {
		return err
	}
	if err := d.move(fileName, oldName); err != nil {
		return err
	}
	if err := d.sync(); err != nil {
		return err
	}
	return d.scrub(oldName)
}

// settle finishes what was begun and broken off.
func (d folder) settle() error {
	var has [3]bool
	for i, name := range []string{fileName, newName, oldName} {
		var err error
		if has[i], err = d.has(name); err != nil {
			return err
		}
	}
	if !has[0] && has[1] && has[2] {
		if err := d.move(newName, fileName); err != nil {
			return err
		}
		if err := d.sync(); err != nil {
			return err
		}
		has[1] = false
	}
	for i, name := range []string{newName, oldName} {
		if has[i+1] {
			if err := d.scrub(name); err != nil {
				return err
			}
		}
	}
	return nil
}

func (d folder) write(name string, content []byte) error {
	path := d.path(name)
	f, err := d.fs.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return store.Wrap("create", path, err)
	}
	if _, err = f.Write(content); err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	return store.Wrap("write", path, err)
}

func (d folder) move(from, to string) error {
	return store.Wrap("rename", d.path(from), d.fs.Rename(d.path(from), d.path(to)))
}

func (d folder) sync() error { return store.Wrap("sync folder", d.dir, d.fs.SyncDir(d.dir)) }

// scrub overwrites a file with zeros and removes it; if the one fails the other is
// done all the same. A file that is none of ours, whatever put it there, is removed
// as it is: its bytes may have another name.
func (d folder) scrub(name string) error {
	if ok, err := d.has(name); !ok {
		return err
	}
	zeroed := d.zero(name)
	err := store.Wrap("remove", d.path(name), d.fs.Remove(d.path(name)))
	if err == nil {
		err = d.sync()
	}
	if zeroed != nil {
		zeroed = fmt.Errorf("what %s held could not be overwritten on the disk: %w", name, zeroed)
	}
	return errors.Join(zeroed, err)
}

func (d folder) zero(name string) error {
	path := d.path(name)
	f, err := d.fs.Open(path)
	if err != nil {
		return store.Wrap("open", path, err)
	}
	info, err := f.Stat()
	var head []byte
	if err == nil {
		head = make([]byte, min(int64(len(magic)), info.Size()))
		_, err = io.ReadFull(f, head)
	}
	f.Close()
	if err != nil {
		return store.Wrap("read", path, err)
	}
	if h := string(head); h != magic[:len(h)] && h != zeros[:len(h)] {
		return nil
	}
	return d.overwrite(path, info.Size())
}

const zeros = "\x00\x00\x00\x00\x00\x00\x00\x00"

func (d folder) overwrite(path string, size int64) error {
	f, err := d.fs.OpenFile(path, os.O_WRONLY, 0) // from the beginning, and without truncating: the blocks stay
	if err != nil {
		return store.Wrap("open", path, err)
	}
	defer f.Close()
	block := make([]byte, 64<<10)
	for size > 0 && err == nil {
		n := min(size, int64(len(block)))
		_, err = f.Write(block[:n])
		size -= n
	}
	if err == nil {
		err = f.Sync()
	}
	return store.Wrap("overwrite", path, err)
}
