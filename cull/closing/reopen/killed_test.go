package reopen

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/store/vfs"
	"garner/testdata/testjob"
)

// The child of TestKilled finds here what it opens, and at which step it is killed.
const childVar = "GARNER_REOPEN_CHILD"

func TestMain(m *testing.M) {
	if words := strings.Split(os.Getenv(childVar), "|"); len(words) == 3 {
		os.Exit(child(words[0], words[1], words[2]))
	}
	os.Exit(testjob.Run(m))
}

func child(bag, dir, at string) int {
	n, err := strconv.ParseInt(at, 10, 64)
	if err != nil {
		return 2
	}
	k := &killer{at: n}
	if _, err := Run(context.Background(), bag, dir, Options{Progress: func(Progress) { k.step() }, fsys: killFS{vfs.OS{}, k}}); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// killer ends the process at a step, so that nothing is put right and nothing closed.
type killer struct{ at, n int64 }

func (k *killer) step() {
	if atomic.AddInt64(&k.n, 1) == k.at {
		if p, err := os.FindProcess(os.Getpid()); err == nil {
			p.Kill()
		}
		select {}
	}
}

// killFS counts what changes names or makes them durable.
type killFS struct {
	vfs.OS
	k *killer
}

func (f killFS) OpenFile(name string, flag int, perm fs.FileMode) (vfs.File, error) {
	f.k.step()
	return f.OS.OpenFile(name, flag, perm)
}

func (f killFS) Rename(from, to string) error {
	f.k.step()
	return f.OS.Rename(from, to)
}

func (f killFS) RenameNew(from, to string) error {
	f.k.step()
	return f.OS.RenameNew(from, to)
}

func (f killFS) Remove(name string) error {
	f.k.step()
	return f.OS.Remove(name)
}

func (f killFS) Mkdir(name string, perm fs.FileMode) error {
	f.k.step()
	return f.OS.Mkdir(name, perm)
}

func (f killFS) SyncDir(name string) error {
	f.k.step()
	return f.OS.SyncDir(name)
}

// Killed at any step, the next run ends in the same bytes.
func TestKilled(t *testing.T) {
	b := newBench(t)
	plain := filepath.Join(t.TempDir(), "plain")
	b.reopen(plain)
	want := tree(t, plain)
	j := b.open(plain)
	known := b.known(j)
	j.Close()
	kills := 0
	for n := 1; ; n += 1 + n/stride() {
		dir := filepath.Join(t.TempDir(), "again")
		c := exec.Command(os.Args[0])
		c.Env = append(os.Environ(), fmt.Sprintf("%s=%s|%s|%d", childVar, b.bag, dir, n))
		out, err := c.CombinedOutput()
		if err == nil {
			break
		}
		if len(out) > 0 {
			t.Fatalf("%v: %s", err, out)
		}
		kills++
		b.reopen(dir)
		if d := cmp.Diff(want, tree(t, dir)); d != "" {
			t.Fatalf("killed at step %d: %s", n, d)
		}
		j := b.open(dir)
		b.same(known, b.known(j))
		j.Close()
	}
	if kills < 10 {
		t.Errorf("killed %d times", kills)
	}
	t.Logf("killed %d times", kills)
}

// stride makes steps at the beginning count one by one, and later ones less often, much
// less where nobody asks for GARNER_KILL_ROUNDS.
func stride() int {
	if os.Getenv("GARNER_KILL_ROUNDS") == "" {
		return 4
	}
	return 30
}
