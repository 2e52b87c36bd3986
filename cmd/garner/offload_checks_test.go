package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/testdata/testneed"
)

// said is what a garner that has ended left behind.
type said struct {
	code int
	out  string // stdout
	err  string // stderr
}

// offload runs garner offload to its end, whatever that is.
func offload(t *testing.T, args ...string) said {
	t.Helper()
	return ended(t, garner(append([]string{"offload"}, args...)...))
}

func ended(t *testing.T, c *exec.Cmd) said {
	t.Helper()
	var out, errs bytes.Buffer
	c.Stdout, c.Stderr = &out, &errs
	if err := c.Run(); err != nil && c.ProcessState == nil {
		t.Fatal(err)
	}
	return said{c.ProcessState.ExitCode(), out.String(), errs.String()}
}

// expect holds the exit code and what has to be said on stderr.
func (s said) expect(t *testing.T, code int, words ...string) {
	t.Helper()
	if s.code != code {
		t.Errorf("exit code %d, want %d", s.code, code)
	}
	for _, w := range words {
		if !strings.Contains(s.err, w) {
			t.Errorf("%q is not said", w)
		}
	}
	if t.Failed() {
		t.Fatal(s.err)
	}
}

// safeCards counts the cards that are called safe to format.
func (s said) safeCards() int {
	n := 0
	for line := range strings.Lines(s.err) {
		if strings.Contains(line, "safe to format") && !strings.Contains(strings.ToLower(line), "not safe to format") {
			n++
		}
	}
	return n
}

func (s said) expectSafe(t *testing.T, cards int) {
	t.Helper()
	if n := s.safeCards(); n != cards {
		t.Fatalf("%d cards are called safe to format, want %d\n%s", n, cards, s.err)
	}
}

// contents are the SHA-256 of all files below a folder, but for what garner keeps
// in .garner at its top; links and devices have their type instead.
func contents(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, p)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		switch {
		case rel == ".garner":
			return fs.SkipDir
		case d.IsDir():
		case !d.Type().IsRegular():
			all[rel] = d.Type().String()
		default:
			b, err := os.ReadFile(p)
			if err != nil {
				return err
			}
			h := sha256.Sum256(b)
			all[rel] = hex.EncodeToString(h[:])
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// times are the times of modification of all files below a folder.
func times(t *testing.T, dir string) map[string]int64 {
	t.Helper()
	all := map[string]int64{}
	for p := range contents(t, dir) {
		info, err := os.Lstat(filepath.Join(dir, filepath.FromSlash(p)))
		if err != nil {
			t.Fatal(err)
		}
		all[p] = info.ModTime().UnixNano()
	}
	return all
}

// onceEach fails unless the files of a destination are exactly the given contents,
// none of them twice.
func onceEach(t *testing.T, dest string, want map[string]bool) {
	t.Helper()
	at := map[string]string{}
	for p, sum := range contents(t, dest) {
		if other, twice := at[sum]; twice {
			t.Errorf("%s and %s are one content", p, other)
		}
		if !want[sum] {
			t.Errorf("%s is on no card", p)
		}
		at[sum] = p
	}
	if len(at) != len(want) {
		t.Errorf("%s has %d contents, want %d", dest, len(at), len(want))
	}
}

func values(m map[string]string) map[string]bool {
	set := map[string]bool{}
	for _, v := range m {
		set[v] = true
	}
	return set
}

// proven lets sha256sum of GNU coreutils check the manifests of a destination, and
// holds what they list against what is there.
func proven(t *testing.T, dest string) {
	t.Helper()
	tool := testneed.Tool(t, "sha256sum")
	listed := map[string]bool{}
	for _, name := range []string{"manifest-sha256.txt", "sidecars-sha256.txt"} {
		data, err := os.ReadFile(filepath.Join(dest, ".garner", name))
		if os.IsNotExist(err) {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		c := exec.Command(tool, "-c", "--strict", "--quiet", path.Join(".garner", name))
		c.Dir = dest
		if out, err := c.CombinedOutput(); err != nil {
			t.Errorf("sha256sum -c %s in %s: %v\n%s", name, dest, err, out)
		}
		for line := range strings.Lines(string(data)) {
			_, p, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
			p = p[1:] // a blank or a star
			if strings.HasPrefix(line, `\`) {
				p = strings.NewReplacer(`\\`, `\`, `\n`, "\n", `\r`, "\r").Replace(p)
			}
			listed[p] = true
		}
	}
	there := slices.Sorted(maps.Keys(contents(t, dest)))
	if got := slices.Sorted(maps.Keys(listed)); !slices.Equal(got, there) {
		t.Errorf("%s: %d files are listed, %d are there", dest, len(got), len(there))
		for _, p := range there {
			if !listed[p] {
				t.Errorf("not listed: %s", p)
			}
		}
	}
}

// watched remembers folders and fails when anything in them has changed at the end.
func watched(t *testing.T, dirs ...string) {
	t.Helper()
	for _, dir := range dirs {
		had, at := contents(t, dir), times(t, dir)
		t.Cleanup(func() {
			if !maps.Equal(had, contents(t, dir)) || !maps.Equal(at, times(t, dir)) {
				t.Errorf("%s was changed", dir)
			}
			if _, err := os.Stat(filepath.Join(dir, ".garner")); err == nil {
				t.Errorf("garner has written into %s", dir)
			}
		})
	}
}

// elsewhere is a folder on another device than the one of t.TempDir.
func elsewhere(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "garner-test")
	if err != nil {
		t.Skip("there is no second device: " + err.Error())
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}
