package testneed

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// Emulated builds the tests of the package it is called from for 64-bit Arm and runs
// those that the pattern run names ("" = all) by an emulator of its instructions (QEMU's
// user mode), with an environment variable NAME=VALUE set. Each of passed must have.
func Emulated(t testing.TB, env, run string, passed ...string) {
	t.Helper()
	emulator := "qemu-aarch64"
	if _, err := exec.LookPath(emulator); err != nil {
		emulator += "-static"
	}
	emulator = Tool(t, emulator)
	binary := filepath.Join(t.TempDir(), "emulated.test")
	build := exec.Command("go", "test", "-c", "-o", binary, ".")
	build.Env = append(os.Environ(), "GOARCH=arm64", "GOOS=linux", "CGO_ENABLED=0", "GOFLAGS=")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	args := []string{binary, "-test.v", "-test.short"}
	if run != "" {
		args = append(args, "-test.run", run)
	}
	tests := exec.Command(emulator, args...)
	tests.Env = append(os.Environ(), env)
	out, err := tests.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, name := range passed {
		if !strings.Contains(string(out), "--- PASS: "+name+" ") {
			t.Errorf("%s did not run:\n%s", name, out)
		}
	}
}
