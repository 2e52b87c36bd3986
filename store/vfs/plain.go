package vfs

import (
	"io/fs"
	"os"

	"garner/store"
)

// OpenPlain opens a file of somebody else's for reading, with what Stat says of it. A
// link is not followed, for it may lead anywhere, and anything else that is no file is
// refused, not waited for: a pipe gives nothing until somebody writes into it. Both are
// [store.ErrNotRegular].
func OpenPlain(path string) (*os.File, fs.FileInfo, error) {
	info, err := os.Lstat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = store.ErrNotRegular
	}
	if err != nil {
		return nil, nil, store.Wrap("open", path, err)
	}
	f, err := openAtOnce(path)
	if err != nil {
		return nil, nil, store.Wrap("open", path, err)
	}
	if info, err = f.Stat(); err == nil && !info.Mode().IsRegular() { // it was exchanged
		err = store.ErrNotRegular
	}
	if err != nil {
		f.Close()
		return nil, nil, store.Wrap("open", path, err)
	}
	return f, info, nil
}
