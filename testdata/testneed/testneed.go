// Package testneed lets a test say what it needs besides Go: a reference tool,
// or the folder of sample files. Where that is missing the test is skipped with
// one clear line; with GARNER_REQUIRE_TOOLS=1 the skip becomes a failure.
package testneed

import (
	"os"
	"os/exec"
	"strings"
	"testing"
)

// Tool returns the path of a program of that name, or skips the test.
func Tool(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		missing(t, "needs the program "+name)
	}
	return path
}

// Samples returns the folder that GARNER_SAMPLES names, or skips the test.
func Samples(t testing.TB) string {
	t.Helper()
	dir := os.Getenv("GARNER_SAMPLES")
	if dir == "" {
		missing(t, "needs GARNER_SAMPLES, the folder of sample files")
	}
	if _, err := os.Stat(dir); err != nil {
		missing(t, "needs the folder of GARNER_SAMPLES: "+err.Error())
	}
	return dir
}

// Module returns the folder of a required Go module's source.
func Module(t testing.TB, path string) string {
	t.Helper()
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", path).Output()
	dir := strings.TrimSpace(string(out))
	if err != nil || dir == "" {
		missing(t, "needs the Go module "+path+" in the module cache")
	}
	return dir
}

func missing(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("GARNER_REQUIRE_TOOLS") == "1" {
		t.Fatal(what)
	}
	t.Skip(what)
}
