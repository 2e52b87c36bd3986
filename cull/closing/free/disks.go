package free

import (
	"path/filepath"

	"garner/store/vfs"
	"garner/store/volume"
)

// apart reports whether two volumes are known to lie on different disks, so that one
// survives what happens to the other. Memory is no disk.
func apart(a, b volume.Volume) bool {
	known := func(v volume.Volume) bool { return (v.Disk != "" || v.Network != "") && !v.Memory }
	return known(a) && known(b) && !a.SameDisk(b)
}

// inside reports whether a folder is top or lies below it. Folders are compared by what
// they are: names may differ in case, by links and by mounts.
func inside(fsys vfs.FS, top, dir string) bool {
	at, err := fsys.Stat(top)
	if err != nil {
		return false
	}
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	for ; ; dir = filepath.Dir(dir) {
		if is, err := fsys.Stat(dir); err == nil && vfs.SameFile(is, at) {
			return true
		}
		if dir == filepath.Dir(dir) {
			return false
		}
	}
}
