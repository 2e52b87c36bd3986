package erasable

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"garner/store"
	"garner/store/vfs"
)

// File is a file with one user at a time: but for Read of a medium that nobody
// writes to, whoever calls the methods has its lock; see [File.Lock].
//
// What a replacement goes through, each step durable before the next:
//
//	            NAME        .new   .old    what Settle makes of it
//	            former                     former
//	write       former      new            former (new may be torn)
//	move away               new    former  new
//	move in     new                former  new
//	overwrite   new                zeros   new
//	remove      new                        new
//
// A removal moves away and goes on as if there were nothing to move in: former
// alone, under .old, is what was to be removed.
type File struct {
	FS      vfs.FS
	Path    string
	Begins  string // what every content begins with
	MaxSize int64  // in bytes; a larger file is not read
}

func (f File) next() string   { return f.Path + ".new" }
func (f File) former() string { return f.Path + ".old" }

// ErrTooLarge is returned for a file that is larger than any that was written.
var ErrTooLarge = errors.New("is too large")

// Exists reports whether there is the file or anything left of a former one.
func (f File) Exists() bool {
	_, err := f.FS.Lstat(f.Path)
	return err == nil || f.LeftOver()
}

// LeftOver reports whether a replacement or removal is under way, or was broken off.
func (f File) LeftOver() bool {
	_, err1 := f.FS.Lstat(f.next())
	_, err2 := f.FS.Lstat(f.former())
	return err1 == nil || err2 == nil
}

// has reports whether there is a file of a name. Anything else of that name, such
// as a link, is an error: it is nothing of ours.
func (f File) has(name string) (bool, error) {
	info, err := f.FS.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, store.Wrap("look at", name, err)
	case !info.Mode().IsRegular():
		return false, store.Wrap("look at", name, store.ErrNotRegular)
	}
	return true, nil
}

// Read returns the content; nil if there is no file.
func (f File) Read() ([]byte, error) {
	if ok, err := f.has(f.Path); !ok {
		return nil, err
	}
	in, err := f.FS.Open(f.Path)
	if err != nil {
		return nil, store.Wrap("open", f.Path, err)
	}
	defer in.Close()
	info, err := in.Stat()
	if err == nil && info.Size() > f.MaxSize {
		err = ErrTooLarge
	}
	if err != nil {
		return nil, store.Wrap("read", f.Path, err)
	}
	b := make([]byte, info.Size())
	if _, err := io.ReadFull(in, b); err != nil {
		clear(b)
		return nil, store.Wrap("read", f.Path, err)
	}
	return b, nil
}

// Replace makes content the file's content, durably. When it fails the file has
// the former content or the new one, whole; the next call cleans up.
func (f File) Replace(content []byte) error {
	if err := f.Settle(); err != nil {
		return err
	}
	err := f.write(f.next(), content)
	if err == nil {
		err = f.sync() // before the former one loses its name
	}
	if err != nil {
		return errors.Join(err, f.scrub(f.next()))
	}
	had, err := f.has(f.Path)
	if err == nil && had {
		if err = f.move(f.Path, f.former()); err == nil {
			err = f.sync()
		}
	}
	if err != nil {
		return err // Settle knows what it is
	}
	if err := f.move(f.next(), f.Path); err != nil {
		return err
	}
	if err := f.sync(); err != nil || !had {
		return err
	}
	return f.scrub(f.former())
}

// Remove removes the file, durably. There being none is no error.
func (f File) Remove() error {
	if err := f.Settle(); err != nil {
		return err
	}
	had, err := f.has(f.Path)
	if err != nil || !had {
		return err
	}
	if err := f.move(f.Path, f.former()); err != nil {
		return err
	}
	if err := f.sync(); err != nil {
		return err
	}
	return f.scrub(f.former())
}

// Settle finishes what was begun and broken off.
func (f File) Settle() error {
	var has [3]bool
	for i, name := range []string{f.Path, f.next(), f.former()} {
		var err error
		if has[i], err = f.has(name); err != nil {
			return err
		}
	}
	if !has[0] && has[1] && has[2] {
		if err := f.move(f.next(), f.Path); err != nil {
			return err
		}
		if err := f.sync(); err != nil {
			return err
		}
		has[1] = false
	}
	if has[1] {
		if err := f.scrub(f.next()); err != nil {
			return err
		}
	}
	if has[2] {
		return f.scrub(f.former())
	}
	return nil
}

func (f File) write(name string, content []byte) error {
	out, err := f.FS.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return store.Wrap("create", name, err)
	}
	if _, err = out.Write(content); err == nil {
		err = out.Sync()
	}
	if cerr := out.Close(); err == nil {
		err = cerr
	}
	return store.Wrap("write", name, err)
}

func (f File) move(from, to string) error {
	return store.Wrap("rename", from, f.FS.Rename(from, to))
}

func (f File) sync() error {
	dir := vfs.Dir(f.Path)
	return store.Wrap("sync folder", dir, f.FS.SyncDir(dir))
}

// scrub overwrites a file with zeros and removes it; if the one fails the other is
// done all the same. A file that does not begin as ours do, whatever put it there,
// is removed as it is: its bytes may have another name.
func (f File) scrub(name string) error {
	if ok, err := f.has(name); !ok {
		return err
	}
	zeroed := f.zero(name)
	err := store.Wrap("remove", name, f.FS.Remove(name))
	if err == nil {
		err = f.sync()
	}
	if zeroed != nil {
		zeroed = fmt.Errorf("former content could not be overwritten on the disk: %w", zeroed)
	}
	return errors.Join(zeroed, err)
}

func (f File) zero(name string) error {
	in, err := f.FS.Open(name)
	if err != nil {
		return store.Wrap("open", name, err)
	}
	info, err := in.Stat()
	var head []byte
	if err == nil {
		head = make([]byte, min(int64(len(f.Begins)), info.Size()))
		_, err = io.ReadFull(in, head)
	}
	in.Close()
	if err != nil {
		return store.Wrap("read", name, err)
	}
	zeros := make([]byte, len(head))
	if string(head) != f.Begins[:len(head)] && !bytes.Equal(head, zeros) {
		return nil
	}
	return f.overwrite(name, info.Size())
}

func (f File) overwrite(name string, size int64) error {
	out, err := f.FS.OpenFile(name, os.O_WRONLY, 0) // without truncating: that would give the blocks back as they are
	if err != nil {
		return store.Wrap("open", name, err)
	}
	defer out.Close()
	block := make([]byte, min(size, 64<<10))
	for size > 0 && err == nil {
		n := min(size, int64(len(block)))
		_, err = out.Write(block[:n])
		size -= n
	}
	if err == nil {
		err = out.Sync()
	}
	return store.Wrap("overwrite", name, err)
}
