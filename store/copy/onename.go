package copy

import (
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"garner/store/vfs"
)

// oneName reports whether two paths are two spellings of one, on a file system
// that does not tell upper case from lower. Numbers of files do not show that
// everywhere: FUSE drivers of FAT and exFAT number the spellings, not the files.
// So the folder in which the paths part is asked whether it holds both names.
func oneName(fsys vfs.FS, a, b string) bool {
	a, b = filepath.Clean(a), filepath.Clean(b)
	if a == b || !strings.EqualFold(a, b) {
		return a == b
	}
	const sep = string(filepath.Separator)
	as, bs := strings.Split(a, sep), strings.Split(b, sep)
	i := 0
	for as[i] == bs[i] {
		i++
	}
	dir := strings.Join(as[:i], sep) + sep
	if i == 0 {
		dir = "."
	}
	entries, err := fsys.ReadDir(dir)
	if err != nil {
		return true // two copies are not claimed where nobody knows
	}
	holds := func(name string) bool {
		return slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return e.Name() == name })
	}
	return !holds(as[i]) || !holds(bs[i])
}
