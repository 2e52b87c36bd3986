package reopen

import (
	"os"
	"path/filepath"

	"garner/cull/closing/record"
	"garner/store"
	"garner/store/archive"
)

// ErrNoBag is returned for a folder that is not a bag.
var ErrNoBag = archive.ErrNoBag

// Bags returns the bags of a folder: itself, or else the folders in it that are bags or
// look as if they had been one. None is ErrNoBag.
func Bags(dir string) ([]string, error) {
	if is(dir, "bagit.txt") || is(dir, record.Folder) {
		return []string{dir}, nil
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, store.Wrap("read", dir, err)
	}
	var bags []string
	for _, e := range entries {
		if p := filepath.Join(dir, e.Name()); is(p, "bagit.txt") || is(p, record.Folder) {
			bags = append(bags, p)
		}
	}
	if len(bags) == 0 {
		return nil, ErrNoBag
	}
	return bags, nil
}

func is(dir, name string) bool {
	_, err := os.Lstat(filepath.Join(dir, filepath.FromSlash(name)))
	return err == nil
}
