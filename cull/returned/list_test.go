package returned

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// The folder may be a link to another disk, and pictures links to elsewhere. What was
// thrown away there, small pictures of a NAS and files in the making are no pictures.
func TestListOfLinks(t *testing.T) {
	root, disk := t.TempDir(), t.TempDir()
	for _, p := range []string{"a.jpg", "sub/b.TIF", "$RECYCLE.BIN/c.jpg", "@eaDir/a.jpg/XL.jpg", "#recycle/d.jpg", ".e.jpg", "f.jpg.part", "~g.png", "notes.txt"} {
		path := filepath.Join(disk, filepath.FromSlash(p))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(p), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(disk, filepath.Join(root, Folder)); err != nil {
		t.Skip(err)
	}
	if err := os.Symlink(filepath.Join(disk, "notes.txt"), filepath.Join(disk, "linked.jpg")); err != nil {
		t.Fatal(err)
	}
	files, failed, err := list(context.Background(), root)
	if err != nil || len(failed) > 0 {
		t.Fatal(err, failed)
	}
	var got []string
	for _, f := range files {
		got = append(got, f.path)
	}
	if want := []string{"finished/a.jpg", "finished/linked.jpg", "finished/sub/b.TIF"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
