package day

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"garner/cull/timeline"
	"garner/store/vfs"
)

// A timeline takes the place of a timeline, and of nothing else.
func TestWrite(t *testing.T) {
	dir := t.TempDir()
	svg, err := timeline.Day{Name: "one"}.SVG()
	if err != nil {
		t.Fatal(err)
	}
	png, err := timeline.Day{Name: "one"}.PNG(timeline.MinPNG)
	if err != nil {
		t.Fatal(err)
	}
	in := func(name string) string { return filepath.Join(dir, name) }
	for _, name := range []string{"a.svg", "a.svg", "a.png"} {
		data := svg
		if name == "a.png" {
			data = png
		}
		if err := Write(in(name), data); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(in(name)); err != nil || string(got) != string(data) {
			t.Errorf("%s: %d bytes, %v", name, len(got), err)
		}
	}
	if err := Write(in("a.svg"), png); err != nil {
		t.Errorf("one in place of the other: %v", err)
	}
	theirs := "\x89PNG\r\n\x1a\n of somebody"
	if err := os.WriteFile(in("theirs.png"), []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(in("folder.svg"), 0o755); err != nil {
		t.Fatal(err)
	}
	names := []string{"theirs.png", "folder.svg"}
	if os.Symlink(in("a.png"), in("link.png")) == nil {
		names = append(names, "link.png")
	}
	if err := os.WriteFile(in("empty.svg"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, name := range append(names, "empty.svg") {
		if err := write(vfs.OS{}, in(name), svg); !errors.Is(err, ErrNotTimeline) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if got, err := os.ReadFile(in("theirs.png")); err != nil || string(got) != theirs {
		t.Errorf("somebody's picture is %q, %v", got, err)
	}
	if err := Write(in("no/such/folder.svg"), svg); err == nil || errors.Is(err, ErrNotTimeline) {
		t.Errorf("no folder: %v", err)
	}
}
