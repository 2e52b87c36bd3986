package vfs_test

import (
	"os"
	"path/filepath"
	"testing"

	"garner/store/vfs"
)

func TestLinks(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a")
	if err := os.WriteFile(name, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if n, known := vfs.Links(vfs.FileOf(f)); n != 1 || !known {
		t.Errorf("one name: %d, %v", n, known)
	}
	if err := os.Link(name, name+"2"); err != nil {
		t.Skip(err)
	}
	if n, known := vfs.Links(vfs.FileOf(f)); n != 2 || !known {
		t.Errorf("two names: %d, %v", n, known)
	}
}
