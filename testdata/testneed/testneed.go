// Package testneed lets a test say what it needs besides Go: a reference tool,
// or the folder of sample files. Where that is missing the test is skipped with
// one clear line; with GARNER_REQUIRE_TOOLS=1 the skip becomes a failure.
package testneed

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"os/exec"
	"path/filepath"
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

// Folder returns dir, which a Debian package of that name installs, or skips the test.
func Folder(t testing.TB, dir, debian string) string {
	t.Helper()
	if _, err := os.Stat(dir); err != nil {
		missing(t, "needs "+dir+" (Debian package "+debian+")")
	}
	return dir
}

// Package returns the path of an npm package (.tgz) of that sum in the folder that
// GARNER_NPM names; .ci/faces fills one.
func Package(t testing.TB, name, version, sum string) string {
	t.Helper()
	dir := os.Getenv("GARNER_NPM")
	if dir == "" {
		missing(t, "needs GARNER_NPM, the folder of npm packages (.ci/faces fills one)")
	}
	// As npm pack names it: the scope without its @, joined with a dash.
	path := filepath.Join(dir, strings.ReplaceAll(strings.TrimPrefix(name, "@"), "/", "-")+"-"+version+".tgz")
	if _, err := os.Stat(path); err != nil {
		missing(t, "needs the npm package "+name+"@"+version+" in the folder of GARNER_NPM: "+err.Error())
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got := sha256.Sum256(b); hex.EncodeToString(got[:]) != sum {
		t.Fatalf("%s@%s has the sha256 %x, not %s", name, version, got, sum)
	}
	return path
}

func missing(t testing.TB, what string) {
	t.Helper()
	if os.Getenv("GARNER_REQUIRE_TOOLS") == "1" {
		t.Fatal(what)
	}
	t.Skip(what)
}
