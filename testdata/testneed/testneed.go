// Package testneed lets a test say what it needs besides Go: a reference tool,
// or the folder of sample files. Where that is missing the test is skipped with
// one clear line; with GARNER_REQUIRE_TOOLS=1 the skip becomes a failure.
package testneed

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
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

// Package returns the path of an npm package (.tgz) of that sum: from the folder
// that GARNER_NPM names, or fetched with npm.
func Package(t testing.TB, name, version, sum string) string {
	t.Helper()
	// As npm pack names it: the scope without its @, joined with a dash.
	base := strings.ReplaceAll(strings.TrimPrefix(name, "@"), "/", "-") + "-" + version + ".tgz"
	path := filepath.Join(os.Getenv("GARNER_NPM"), base)
	if _, err := os.Stat(path); os.Getenv("GARNER_NPM") == "" || err != nil {
		dir := t.TempDir()
		cmd := exec.Command(Tool(t, "npm"), "pack", "--silent", "--pack-destination", dir, name+"@"+version)
		if out, err := cmd.CombinedOutput(); err != nil {
			missing(t, fmt.Sprintf("needs the npm package %s@%s, in GARNER_NPM or from the registry: %v %s", name, version, err, out))
		}
		path = filepath.Join(dir, base)
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
