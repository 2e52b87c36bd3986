package vfs_test

import (
	"os"
	"path/filepath"
	"testing"

	"garner/store/vfs"
)

func TestWithin(t *testing.T) {
	dir := vfs.Resolve(t.TempDir())
	for _, d := range []string{"job/A", "jobs"} {
		if err := os.MkdirAll(filepath.Join(dir, d), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(filepath.Join(dir, "job"), filepath.Join(dir, "link")); err != nil {
		t.Skip("no links can be made here")
	}
	for p, want := range map[string]bool{
		"job": true, "job/A": true, "job/A/not there/either": true, "link": true, "link/new": true,
		".": false, "jobs": false, "jobs/job": false, "job/../jobs": false,
	} {
		if got := vfs.Within(vfs.OS{}, filepath.Join(dir, "job"), filepath.Join(dir, p)); got != want {
			t.Errorf("%s: %v, want %v", p, got, want)
		}
	}
	if vfs.Within(vfs.OS{}, filepath.Join(dir, "gone"), filepath.Join(dir, "gone", "a")) {
		t.Error("a folder that is not there has something in it")
	}
	if got, want := vfs.Resolve(filepath.Join(dir, "link", "new", "a")), filepath.Join(dir, "job", "new", "a"); got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
