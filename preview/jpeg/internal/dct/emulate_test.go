//go:build linux && !arm64

package dct

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// The tests of this package that concern vector code, built for 64-bit Arm and
// run by an emulator of its instructions (QEMU's user mode): NEON gives the
// bits of plain Go too.
func TestNEONEmulated(t *testing.T) {
	emulator := "qemu-aarch64"
	if _, err := exec.LookPath(emulator); err != nil {
		emulator += "-static"
	}
	emulator = testneed.Tool(t, emulator)
	binary := filepath.Join(t.TempDir(), "dct.test")
	build := exec.Command("go", "test", "-c", "-o", binary, ".")
	build.Env = append(os.Environ(), "GOARCH=arm64", "GOOS=linux", "CGO_ENABLED=0", "GOFLAGS=")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	run := exec.Command(emulator, binary, "-test.v", "-test.short", "-test.run", "Path|Mean|Fuzz")
	run.Env = append(os.Environ(), "GARNER_DCT_PATH=neon")
	out, err := run.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, name := range []string{"TestPath", "TestPathsGiveEqualBits", "TestPathsGiveEqualBitsForward", "FuzzEqualBits", "FuzzForward"} {
		if !strings.Contains(string(out), "--- PASS: "+name+" ") {
			t.Errorf("%s did not run:\n%s", name, out)
		}
	}
}
