// Package testjob makes jobs for tests: small invented weddings (cull/demo),
// made once in a process and copied for each test. GARNER_TESTJOBS names a folder
// in which they are kept for other processes.
package testjob

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"garner/cull/demo"
	"garner/cull/job"
	"garner/cull/prepare"
)

var made struct {
	sync.Mutex
	dir   string // of all of them; "" = none yet
	names map[string]bool
}

// Run runs a package's tests and removes what was made for them. It is called by
// TestMain and returns the exit code.
func Run(m *testing.M) int {
	code := m.Run()
	if made.dir != "" {
		os.RemoveAll(made.dir)
	}
	return code
}

// Demo returns the folder of a wedding of so many frames, the test's own to write
// in.
func Demo(t testing.TB, frames int, prepared bool) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "job")
	if err := os.CopyFS(dir, os.DirFS(Template(t, frames, prepared))); err != nil {
		t.Fatal(err)
	}
	return dir
}

// Template returns a folder that all tests of the process share: for reading.
func Template(t testing.TB, frames int, prepared bool) string {
	t.Helper()
	made.Lock()
	defer made.Unlock()
	if made.dir == "" {
		dir, err := os.MkdirTemp("", "garner-testjob")
		if err != nil {
			t.Fatal(err)
		}
		made.dir, made.names = dir, map[string]bool{}
	}
	name := fmt.Sprintf("%d-%v", frames, prepared)
	dir := filepath.Join(made.dir, name)
	if made.names[name] {
		return dir
	}
	if kept := os.Getenv("GARNER_TESTJOBS"); kept != "" {
		kept = filepath.Join(kept, name)
		if _, err := os.Stat(kept); err == nil {
			return kept
		}
		defer keep(t, dir, kept)
	}
	if _, err := demo.Make(context.Background(), dir, demo.Options{Frames: frames}); err != nil {
		t.Fatal(err)
	}
	if prepared {
		j, err := job.Open(dir, job.Options{Who: "test"})
		if err != nil {
			t.Fatal(err)
		}
		defer j.Close()
		if _, err := prepare.Run(context.Background(), j, prepare.Options{}); err != nil {
			t.Fatal(err)
		}
	}
	made.names[name] = true
	return dir
}

// keep leaves a copy of a wedding for other processes; the first one counts.
func keep(t testing.TB, dir, kept string) {
	t.Helper()
	part, err := os.MkdirTemp(filepath.Dir(kept), "part")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(filepath.Join(part, "job"), os.DirFS(dir)); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(part, "job"), kept); err != nil && !os.IsExist(err) {
		t.Log(err)
	}
	os.RemoveAll(part)
}
