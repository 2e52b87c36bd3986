package copy

import (
	"io"
	"io/fs"

	"garner/store"
	"garner/store/vfs"
)

// source is a file that is read from its beginning to its end, once, and held to
// staying the same meanwhile.
type source struct {
	fsys   vfs.FS
	path   string
	op     string // for messages: "read", or "read back"
	f      vfs.File
	before fs.FileInfo
	off    int64 // bytes read so far
	ours   bool  // a file that we have just written
}

// openSource opens a regular file. The look before opening keeps it from waiting
// for somebody to write into a pipe.
func openSource(fsys vfs.FS, path, op string) (*source, error) {
	info, err := fsys.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = store.ErrNotRegular
	}
	if err != nil {
		return nil, store.Wrap(op, path, err)
	}
	f, err := fsys.Open(path)
	if err != nil {
		return nil, store.Wrap(op, path, err)
	}
	before, err := f.Stat()
	if err != nil {
		f.Close()
		return nil, store.Wrap(op, path, err)
	}
	return &source{fsys: fsys, path: path, op: op, f: f, before: before}, nil
}

func (s *source) size() int64 { return s.before.Size() }

// next fills buf as far as the file goes and reports how much that was, and
// whether it was the end. A file that is longer than its size said has grown.
func (s *source) next(buf []byte) (n int, end bool, err error) {
	n, err = io.ReadFull(s.f, buf)
	s.off += int64(n)
	switch {
	case err == io.EOF, err == io.ErrUnexpectedEOF:
		end, err = true, nil
	case err != nil:
		return n, false, store.WrapAt(s.op, s.path, s.off, err)
	}
	if s.off > s.size() {
		return n, end, store.Wrap(s.op, s.path, store.ErrChanged)
	}
	return n, end, nil
}

// settle is called at the end: everything was read, and the file is still what it
// was, both the open one and the one that the path leads to.
func (s *source) settle() error {
	open, err := s.f.Stat()
	if err != nil {
		return store.Wrap(s.op, s.path, err)
	}
	named, err := s.fsys.Stat(s.path)
	if err != nil {
		return store.Wrap(s.op, s.path, err)
	}
	for _, now := range []fs.FileInfo{open, named} {
		if !vfs.SameFile(s.before, now) || now.Size() != s.size() || !s.sameTime(now) {
			return store.Wrap(s.op, s.path, store.ErrChanged)
		}
	}
	if s.off != s.size() {
		return store.WrapAt(s.op, s.path, s.off, store.ErrCutShort)
	}
	return nil
}

// sameTime compares the times of modification. Of our own files that says
// nothing: servers and FAT round a time a while after it was set, and a digest is
// compared anyway.
func (s *source) sameTime(now fs.FileInfo) bool {
	return s.ours || now.ModTime().Equal(s.before.ModTime())
}
