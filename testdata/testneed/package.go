package testneed

import (
	"archive/tar"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Unpacked returns a folder with the files of an npm package of that sum, which goes
// with the test.
func Unpacked(t testing.TB, name, version, sum string) string {
	t.Helper()
	f, err := os.Open(Package(t, name, version, sum))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for a := tar.NewReader(z); ; {
		h, err := a.Next()
		if err == io.EOF {
			return dir
		}
		if err != nil {
			t.Fatal(err)
		}
		inside, ok := strings.CutPrefix(h.Name, "package/")
		if !ok || h.Typeflag != tar.TypeReg || !filepath.IsLocal(inside) {
			continue
		}
		if err := write(filepath.Join(dir, inside), a); err != nil {
			t.Fatal(err)
		}
	}
}

func write(path string, from io.Reader) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(f, from)
	if end := f.Close(); err == nil {
		err = end
	}
	return err
}

// Photos returns the folder of photographs that GARNER_FACES names, or skips the test.
func Photos(t testing.TB) string {
	t.Helper()
	dir := os.Getenv("GARNER_FACES")
	if dir == "" {
		missing(t, "needs GARNER_FACES, the folder of photographs of faces (.ci/faces DIR fills one)")
	}
	return dir
}

// Photo returns a photograph of that sum from the folder that GARNER_FACES names,
// which .ci/faces fills.
func Photo(t testing.TB, name, sum string) []byte {
	t.Helper()
	dir := Photos(t)
	b, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		missing(t, "needs a photograph in the folder of GARNER_FACES: "+err.Error())
	}
	if got := sha256.Sum256(b); hex.EncodeToString(got[:]) != sum {
		t.Fatalf("%s has the sha256 %x, not %s", name, got, sum)
	}
	return b
}
