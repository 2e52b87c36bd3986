package free

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"strings"

	"garner/store"
	"garner/store/vfs"
)

// folder is a folder that is held open: what is done to a name is done in it, wherever
// its own name leads meanwhile.
type folder interface {
	Lstat(name string) (fs.FileInfo, error)
	Open(name string) (vfs.File, error)
	Rename(from, to string) error
	Link(from, to string) error
	Remove(name string) error
	Close() error
}

// rooted is the folder of an os.Root.
type rooted struct{ *os.Root }

// Open opens a file for reading.
func (h rooted) Open(name string) (vfs.File, error) {
	f, err := h.Root.Open(name)
	if err != nil {
		return nil, err
	}
	return vfs.FileOf(f), nil
}

var (
	errLink   = errors.New("is a link, and links are not followed here")
	errSwap   = errors.New("is not the file that it was a moment ago")
	errNames  = errors.New("has more than one name: freeing this one gives nothing back")
	errUnsure = errors.New("may have another name: this file system does not say")
)

// enter opens the folder of a path of the job, going into one folder after the other,
// and returns it with the file's name. A link on the way is an error, also where it
// leads to a folder of the job.
func enter(root, p string) (folder, string, error) {
	at, err := os.OpenRoot(root)
	if err != nil {
		return nil, "", store.Wrap("open", root, err)
	}
	dir, name := path.Split(p)
	for _, part := range strings.Split(strings.TrimSuffix(dir, "/"), "/") {
		if part == "" {
			continue
		}
		next, err := step(at, part)
		at.Close()
		if err != nil {
			return nil, "", store.Wrap("open", p, err)
		}
		at = next
	}
	return rooted{at}, name, nil
}

// step enters a folder that is one itself, and no link to one.
func step(at *os.Root, name string) (*os.Root, error) {
	info, err := at.Lstat(name)
	if err != nil {
		return nil, err
	}
	if !info.IsDir() {
		return nil, errLink
	}
	next, err := at.OpenRoot(name)
	if err != nil {
		return nil, err
	}
	is, err := next.Stat(".")
	if err == nil && !os.SameFile(info, is) {
		err = errSwap
	}
	if err != nil {
		next.Close()
		return nil, err
	}
	return next, nil
}
