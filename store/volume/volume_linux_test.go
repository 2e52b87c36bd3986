package volume

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// sysfs builds the folders that the kernel shows for a disk with a partition
// (Documentation/ABI/stable/sysfs-block) and the links to devices beside them.
func sysfs(t *testing.T) string {
	root := t.TempDir()
	disk := filepath.Join(root, "devices", "usb1", "block", "sdb")
	for _, dir := range []string{filepath.Join(disk, "sdb1"), filepath.Join(root, "class"), filepath.Join(root, "by-label"), filepath.Join(root, "dev")} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for _, file := range []string{filepath.Join(disk, "sdb1", "partition"), filepath.Join(root, "dev", "sdb1"), filepath.Join(root, "dev", "sdc1")} {
		if err := os.WriteFile(file, []byte("1\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for link, to := range map[string]string{
		"class/sdb":               "../devices/usb1/block/sdb",
		"class/sdb1":              "../devices/usb1/block/sdb/sdb1",
		`by-label/EOS\x20DIGITAL`: "../dev/sdb1",
		"by-label/broken":         "../dev/nothing",
	} {
		if err := os.Symlink(to, filepath.Join(root, link)); err != nil {
			t.Fatal(err)
		}
	}
	real, err := filepath.EvalSymlinks(root)
	if err != nil {
		t.Fatal(err)
	}
	return real
}

func TestDiskOf(t *testing.T) {
	root := sysfs(t)
	for name, want := range map[string]string{"sdb1": "sdb", "sdb": "sdb", "sdx": ""} {
		if got := diskOf(filepath.Join(root, "class"), name); got != want {
			t.Errorf("%s is on %q, want %q", name, got, want)
		}
	}
}

func TestLinkTo(t *testing.T) {
	root := sysfs(t)
	if got := linkTo(filepath.Join(root, "by-label"), filepath.Join(root, "dev", "sdb1")); got != "EOS DIGITAL" {
		t.Errorf("label %q", got)
	}
	if got := linkTo(filepath.Join(root, "by-label"), filepath.Join(root, "dev", "sdc1")); got != "" {
		t.Errorf("a device without a label has %q", got)
	}
	if got := linkTo(filepath.Join(root, "nothing"), "/dev/sdb1"); got != "" {
		t.Errorf("%q", got)
	}
}

// FuzzUnescape holds: escaping the result gives what reads the same again, and
// names without a backslash stay.
func FuzzUnescape(f *testing.F) {
	f.Add(`EOS\x20DIGITAL`)
	f.Add(`a\x5cx20`)
	f.Add(`\x`)
	f.Add(`\xg0\x2`)
	f.Fuzz(func(t *testing.T, s string) {
		got := unescape(s)
		if len(got) > len(s) {
			t.Errorf("%q grew to %q", s, got)
		}
		if !strings.Contains(s, `\`) && got != s {
			t.Errorf("%q became %q", s, got)
		}
		if again := unescape(strings.ReplaceAll(got, `\`, `\x5c`)); again != got {
			t.Errorf("%q, escaped and read again, is %q", got, again)
		}
	})
}
