package testfat

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/sys/unix"
)

// modules are what the kernel of user-mode-linux needs for a FAT in a file, in
// the order that they depend on each other.
var modules = [...]string{
	"drivers/block/loop", "fs/fuse/fuse", "fs/nls/nls_cp437", "fs/nls/nls_ascii", "fs/nls/nls_iso8859-1", "fs/nls/nls_utf8", "fs/fat/fat", "fs/fat/vfat",
}

// loadModules loads what is not built in.
func loadModules(t testing.TB) {
	t.Helper()
	var u unix.Utsname
	must(t, unix.Uname(&u))
	for _, m := range modules {
		f, err := os.Open(filepath.Join("/usr/lib/uml/modules", unix.ByteSliceToString(u.Release[:]), "kernel", m+".ko"))
		if err != nil {
			continue // built in, or mounting will say that it is missing
		}
		err = unix.FinitModule(int(f.Fd()), "", 0)
		f.Close()
		if err != nil && !errors.Is(err, unix.EEXIST) {
			t.Fatalf("load %s: %v", m, err)
		}
	}
}
