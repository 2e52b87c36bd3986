package vfs_test

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

func TestOSConforms(t *testing.T) {
	vfstest.Run(t, func(t *testing.T) vfstest.Subject {
		s := vfstest.Subject{FS: vfs.OS{}, Dir: t.TempDir(), Modes: runtime.GOOS != "windows", Bytes: runtime.GOOS == "linux"}
		if runtime.GOOS != "windows" { // making links needs a privilege there
			s.Symlink = os.Symlink
		}
		return s
	})
}

func TestDir(t *testing.T) {
	for path, want := range map[string]string{"a": ".", "d/a": "d/", "link/../a": "link/../"} {
		if got := vfs.Dir(path); filepath.ToSlash(got) != want {
			t.Errorf("%q lies in %q, want %q", path, got, want)
		}
	}
}

// A partial beside "link/../x" must lie in the folder that the link's target
// lies in, not in the one that tidying the text gives.
func TestPartialPathIsNotTidied(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	if p := vfs.PartialPath(m, "link/../x"); !strings.HasPrefix(filepath.ToSlash(p), "link/../.x.") {
		t.Error(p)
	}
}

func TestMkdirAllIsDurable(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	if err := vfs.MkdirAll(m, "/a/b/c", 0o777); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range m.Log() {
		if e.Op == vfstest.OpMkdir || e.Op == vfstest.OpSyncDir {
			got = append(got, string(e.Op)+" "+filepath.ToSlash(e.Path))
		}
	}
	want := "mkdir /a, syncdir /, mkdir /a/b, syncdir /a, mkdir /a/b/c, syncdir /a/b"
	if s := strings.Join(got, ", "); s != want {
		t.Errorf("%s\nwant %s", s, want)
	}
}
