package volume

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/store/vfs"
)

func TestOf(t *testing.T) {
	dir := t.TempDir()
	v, err := Of(dir)
	if err != nil {
		t.Fatal(err)
	}
	if v.Root == "" || v.Type == "" || v.Free <= 0 {
		t.Errorf("%+v", v)
	}
	real, err := filepath.EvalSymlinks(dir)
	if err != nil || !strings.HasPrefix(strings.ToLower(real), strings.ToLower(v.Root)) {
		t.Errorf("%s does not lie under %s (%v)", real, v.Root, err)
	}
	later, err := Of(filepath.Join(dir, "not", "yet", "made"))
	if err != nil || later.Root != v.Root || !v.SameDisk(later) {
		t.Errorf("%+v, %v, want %+v", later, err, v)
	}
	if err := os.WriteFile(filepath.Join(dir, "file"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if f, err := Of(filepath.Join(dir, "file")); err != nil || f.Root != v.Root {
		t.Errorf("of a file: %+v, %v", f, err)
	}
}

func TestSameDisk(t *testing.T) {
	on := func(root, source, disk string) Volume {
		return Volume{Mount: vfs.Mount{Root: root, Source: source}, Disk: disk}
	}
	card := on("/media/card", "/dev/sdb1", "sdb")
	for _, c := range []struct {
		name string
		w    Volume
		want bool
	}{
		{"itself", card, true},
		{"its other partition", on("/media/two", "/dev/sdb2", "sdb"), true},
		{"mounted twice", on("/mnt", "/dev/sdb1", ""), true},
		{"another disk", on("/", "/dev/sda1", "sda"), false},
		{"a mirror that it is a part of", on("/srv", "/dev/md0", "sda+sdb"), true},
		{"a mirror of others", on("/srv", "/dev/md0", "sda+sdbb"), false},
		{"a server", on("/srv", "host:/srv", ""), false},
		{"nothing known", on("/x", "", ""), false},
	} {
		if card.SameDisk(c.w) != c.want || c.w.SameDisk(card) != c.want {
			t.Errorf("%s: %v", c.name, !c.want)
		}
	}
	if on("/x", "", "").SameDisk(on("/y", "", "")) {
		t.Error("two volumes of which nothing is known are one")
	}
}

func TestMounts(t *testing.T) {
	mounts, err := Mounts()
	if err != nil {
		t.Fatal(err)
	}
	for i, m := range mounts {
		if m.Root == "" || m.Source == "" || m.Type == "proc" || m.Type == "tmpfs" {
			t.Errorf("%+v", m)
		}
		for _, other := range mounts[:i] {
			if other.Root == m.Root {
				t.Errorf("%s is listed twice", m.Root)
			}
		}
	}
	here, err := Of(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	if ofMedium(here.Mount) && !slices.Contains(mounts, here.Mount) {
		t.Errorf("%+v is not listed", here.Mount)
	}
}
