//go:build linux && !arm64 && !purego

package lanes

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// The tests of this package, built for 64-bit Arm and run by an emulator of its
// instructions (QEMU's user mode): NEON gives what the definitions say, and stays
// inside of its slices.
func TestNEONEmulated(t *testing.T) {
	emulator := "qemu-aarch64"
	if _, err := exec.LookPath(emulator); err != nil {
		emulator += "-static"
	}
	emulator = testneed.Tool(t, emulator)
	binary := filepath.Join(t.TempDir(), "lanes.test")
	build := exec.Command("go", "test", "-c", "-o", binary, ".")
	build.Env = append(os.Environ(), "GOARCH=arm64", "GOOS=linux", "CGO_ENABLED=0", "GOFLAGS=")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	run := exec.Command(emulator, binary, "-test.v", "-test.short")
	run.Env = append(os.Environ(), "GARNER_LANES_PATH=neon")
	out, err := run.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, name := range []string{"TestPath", "TestGatherScatter", "TestAcrossAgainstDefinition", "TestDownAgainstDefinition", "TestInsideSlices", "TestPointersStay", "FuzzEqual"} {
		if !strings.Contains(string(out), "--- PASS: "+name+" ") {
			t.Errorf("%s did not run:\n%s", name, out)
		}
	}
}
