package handoff

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"strings"

	"garner/store"
	"garner/store/vfs"
)

// maxSidecar bounds what is read of a file that calls itself a sidecar.
const maxSidecar = 16 << 20

// under is a "/"-separated path below a folder, as the system spells it.
func under(root, p string) string { return filepath.Join(root, filepath.FromSlash(p)) }

// listing is the names in a folder, as paths below root, read once a phase:
// a job keeps thousands of frames in one folder.
func (s *state) listing(root, dir string) ([]string, error) {
	full := under(root, dir)
	if l, ok := s.folders[full]; ok {
		return l, nil
	}
	entries, err := s.fs.ReadDir(full)
	if err != nil {
		return nil, err
	}
	l := make([]string, 0, len(entries))
	for _, e := range entries {
		if !e.IsDir() {
			l = append(l, path.Join(dir, e.Name()))
		}
	}
	s.folders[full] = l
	return l, nil
}

// readBounded reads a sidecar; nil without an error where there is none. What
// is not a regular file is not opened: reading a pipe would never end.
func readBounded(fsys vfs.FS, file string) ([]byte, error) {
	info, err := fsys.Stat(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, store.ErrNotRegular
	}
	f, err := fsys.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, maxSidecar+1))
	if err != nil {
		return nil, err
	}
	if len(b) > maxSidecar {
		return nil, fmt.Errorf("it is larger than %d MiB", maxSidecar>>20)
	}
	if b == nil {
		b = []byte{}
	}
	return b, nil
}

// sweep removes what a handoff that was killed has left of sidecars in a folder
// of the job. Other partials there may be those of an offload at work.
func (s *state) sweep(dir string) {
	names, err := s.listing(s.job.Root(), dir)
	if err != nil {
		return
	}
	for _, p := range names {
		name := path.Base(p)
		if store.IsPartial(name) && strings.Contains(strings.ToLower(name), ".xmp.") {
			s.fs.Remove(under(s.job.Root(), p))
		}
	}
}

// reason is an error without its path, which stands beside it.
func reason(err error) string {
	var ours *store.Error
	var theirs *fs.PathError
	switch {
	case errors.As(err, &ours):
		return ours.Op + ": " + ours.Err.Error()
	case errors.As(err, &theirs):
		return theirs.Op + ": " + theirs.Err.Error()
	}
	return err.Error()
}
