package handoff

import (
	"errors"
	"fmt"
	"path/filepath"

	"garner/store/vfs"
)

// ErrInsideJob refuses copies into the job itself, where the next scan would
// take them for frames.
var ErrInsideJob = errors.New("the folder for the copies lies inside the job")

// outside makes the folder for copies absolute, links resolved as far as it
// exists, and refuses one in the job.
func outside(fsys vfs.FS, root, to string) (string, error) {
	abs, err := filepath.Abs(to)
	if err != nil {
		return "", err
	}
	abs = resolve(abs)
	if inside(fsys, root, abs) {
		return "", fmt.Errorf("%w: %s", ErrInsideJob, to)
	}
	return abs, nil
}

// resolve follows the links of what exists of an absolute path.
func resolve(p string) string {
	rest := ""
	for q := p; ; q = filepath.Dir(q) {
		if r, err := filepath.EvalSymlinks(q); err == nil {
			return filepath.Join(r, rest)
		}
		if q == filepath.Dir(q) {
			return p
		}
		rest = filepath.Join(filepath.Base(q), rest)
	}
}

// inside reports whether a path, or what exists of it, is the folder root or
// lies below it. Folders are compared by what they are, not by their names:
// names may differ in case, by links and by mounts.
func inside(fsys vfs.FS, root, p string) bool {
	top, err := fsys.Stat(root)
	if err != nil {
		return false
	}
	for q := resolve(p); ; q = filepath.Dir(q) {
		if at, err := fsys.Stat(q); err == nil && vfs.SameFile(at, top) {
			return true
		}
		if q == filepath.Dir(q) {
			return false
		}
	}
}
