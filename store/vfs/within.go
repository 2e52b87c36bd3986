package vfs

import "path/filepath"

// Resolve follows the links of what exists of an absolute path of the real file system.
func Resolve(p string) string {
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

// Within reports whether an absolute path, or what exists of it, is the folder top or
// lies below it. Folders are compared by what they are, not by their names: names may
// differ in case, by links and by mounts.
func Within(fsys FS, top, p string) bool {
	at, err := fsys.Stat(top)
	if err != nil {
		return false
	}
	for q := Resolve(p); ; q = filepath.Dir(q) {
		if is, err := fsys.Stat(q); err == nil && SameFile(is, at) {
			return true
		}
		if q == filepath.Dir(q) {
			return false
		}
	}
}
