package intake

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/store/vfs"
	"garner/testdata/testfat"
)

// The attribute that the protect key sets is seen as Linux's own FAT driver shows it.
func TestProtectionOnFATOfTheKernel(t *testing.T) {
	if testfat.Inside() {
		t.Skip("is inside")
	}
	if testing.Short() {
		t.Skip("starts a kernel: some seconds")
	}
	if out := testfat.Kernel(t, "^TestInsideProtectionOnFAT$"); !strings.Contains(out, "--- PASS: TestInsideProtectionOnFAT ") {
		t.Errorf("it was not run there:\n%s", out)
	}
}

func TestInsideProtectionOnFAT(t *testing.T) {
	if !testfat.Inside() {
		t.Skip("is for a kernel of its own")
	}
	d := testfat.FAT32(t, 40)
	dir := filepath.Join(d.Dir, "DCIM", "100LUMOR")
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"LUM_0001.DNG", "LUM_0002.DNG", "LUM_0003.DNG"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(name), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	look := func() []string {
		t.Helper()
		tr, err := walk(vfs.OS{}, d.Dir, ownFolder)
		if err != nil || len(tr.files) != 3 {
			t.Fatal(tr, err)
		}
		s := &source{tree: tr, card: &Card{DCIM: hasDCIM(vfs.OS{}, d.Dir)}}
		return slices.Sorted(maps.Keys(s.protectedFiles()))
	}
	d.Reinsert(t)
	if got := look(); len(got) != 0 {
		t.Errorf("nothing is protected, found %v", got)
	}
	d.Protect(t, "LUM_0002DNG")
	if got := look(); !slices.Equal(got, []string{"DCIM/100LUMOR/LUM_0002.DNG"}) {
		t.Errorf("one is protected, found %v", got)
	}
}
