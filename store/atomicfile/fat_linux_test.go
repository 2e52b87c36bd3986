package atomicfile_test

import (
	"os"
	"path/filepath"
	"testing"

	"garner/store/atomicfile"
	"garner/store/vfs"
	"garner/testdata/testfat"
)

// On FAT and exFAT there are no permission bits to be set, and some drivers say
// so with an error; a file can be replaced there all the same.
func TestReplaceOnFAT(t *testing.T) {
	for name, disk := range map[string]func(testing.TB, int64) *testfat.Disk{"FAT32": testfat.FAT32, "exFAT": testfat.ExFAT} {
		t.Run(name, func(t *testing.T) {
			d := disk(t, 40)
			path := filepath.Join(d.Dir, "manifest-sha256.txt")
			for _, content := range []string{"old", "new and longer", "x"} {
				if err := atomicfile.WriteFile(vfs.OS{}, path, []byte(content), 0o666); err != nil {
					t.Fatal(err)
				}
				d.Reinsert(t)
				if got, err := os.ReadFile(path); err != nil || string(got) != content {
					t.Errorf("%q, %v, want %q", got, err, content)
				}
			}
			if free, err := (vfs.OS{}).FreeSpace(d.Dir); err != nil || free <= 0 {
				t.Errorf("free space %d, %v", free, err)
			}
			d.Check(t)
		})
	}
}
