package closing

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"garner/cull"
	"garner/cull/job"
	"garner/store"
	"garner/store/vfs"
)

// steps is a file system that counts what is done to it below a folder, and does
// something at one of the steps.
type steps struct {
	vfs.OS
	below string
	n     *atomic.Int64
	at    int64
	do    func() error
}

func (s steps) step(path string) error {
	if strings.HasPrefix(path, s.below) && s.n.Add(1) == s.at {
		return s.do()
	}
	return nil
}

func (s steps) OpenFile(name string, flag int, perm os.FileMode) (vfs.File, error) {
	if err := s.step(name); err != nil {
		return nil, err
	}
	f, err := s.OS.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err
	}
	return stepFile{f, s}, nil
}

func (s steps) Rename(from, to string) error {
	if err := s.step(to); err != nil {
		return err
	}
	return s.OS.Rename(from, to)
}

func (s steps) RenameNew(from, to string) error {
	if err := s.step(to); err != nil {
		return err
	}
	return s.OS.RenameNew(from, to)
}

func (s steps) Remove(name string) error {
	if err := s.step(name); err != nil {
		return err
	}
	return s.OS.Remove(name)
}

func (s steps) Mkdir(name string, perm os.FileMode) error {
	if err := s.step(name); err != nil {
		return err
	}
	return s.OS.Mkdir(name, perm)
}

func (s steps) SyncDir(name string) error {
	if err := s.step(name); err != nil {
		return err
	}
	return s.OS.SyncDir(name)
}

type stepFile struct {
	vfs.File
	s steps
}

func (f stepFile) Write(b []byte) (int, error) {
	if err := f.s.step(f.Name()); err != nil {
		return 0, err
	}
	return f.File.Write(b)
}

func (f stepFile) Sync() error {
	if err := f.s.step(f.Name()); err != nil {
		return err
	}
	return f.File.Sync()
}

// TestChild is the process that is killed: it archives a job and says in how many steps.
func TestChild(t *testing.T) {
	dir := os.Getenv("GARNER_TEST_JOB")
	if dir == "" {
		t.Skip("it is run by the others")
	}
	shelf := os.Getenv("GARNER_TEST_SHELF")
	j, err := job.Open(dir, job.Options{Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	at, _ := strconv.ParseInt(os.Getenv("GARNER_TEST_AT"), 10, 64)
	fsys := steps{below: shelf, n: new(atomic.Int64), at: at, do: func() error {
		self, _ := os.FindProcess(os.Getpid())
		self.Kill()
		select {}
	}}
	_, err = run(context.Background(), j, Options{Dirs: []string{filepath.Join(shelf, "one"), filepath.Join(shelf, "two")}}, fsys)
	fmt.Fprintf(os.Stderr, "steps %d\n", fsys.n.Load())
	if err != nil {
		t.Fatal(err)
	}
}

func (b *bench) child(at int64) *exec.Cmd {
	c := exec.Command(os.Args[0], "-test.run=^TestChild$")
	c.Env = append(os.Environ(), "GARNER_TEST_JOB="+b.dir, "GARNER_TEST_SHELF="+b.shelf, fmt.Sprint("GARNER_TEST_AT=", at))
	return c
}

// rounds is how often the kill loop runs: GARNER_KILL_ROUNDS, else few enough for every
// test run.
func rounds() int {
	if n, err := strconv.Atoi(os.Getenv("GARNER_KILL_ROUNDS")); err == nil {
		return n
	}
	return 6
}

// grown is a job whose bags have a first record and are about to get a second one.
func (b *bench) grown() (first string) {
	b.decide(cull.Yes, 0, 1, 2)
	b.decide(cull.No, 3, 4)
	b.write("A/notes.txt", "first")
	o := Options{Dirs: []string{filepath.Join(b.shelf, "one"), filepath.Join(b.shelf, "two")}}
	b.run(o)
	b.decide(cull.Yes, 3)
	b.decide(cull.No, 0)
	b.write("A/notes.txt", "second, and longer")
	b.write("finished/late.txt", "came later")
	first = b.shelf + "-first"
	if err := os.CopyFS(first, os.DirFS(b.shelf)); err != nil {
		b.t.Fatal(err)
	}
	return first
}

// back puts the shelf into the state it had.
func (b *bench) back(first string) {
	b.t.Helper()
	if err := os.RemoveAll(b.shelf); err != nil {
		b.t.Fatal(err)
	}
	if first != "" {
		if err := os.CopyFS(b.shelf, os.DirFS(first)); err != nil {
			b.t.Fatal(err)
		}
	}
}

// Killed at any step on the disk or at any time, a new bag or one that grows ends in the
// bytes of an undisturbed run; the job's own files are never touched.
func TestKilled(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	b := newBench(t)
	first := b.grown()
	for name, begin := range map[string]string{"new": "", "growing": first} {
		b.back(begin)
		began := time.Now()
		out, err := b.child(0).CombinedOutput()
		took := time.Since(began)
		var n int64
		if _, rest, ok := bytes.Cut(out, []byte("steps ")); ok {
			fmt.Sscan(string(rest), &n)
		}
		if err != nil || n < 50 {
			t.Fatalf("an undisturbed run: %v: %s", err, out)
		}
		want, own := tree(t, b.shelf), b.own()
		for round := range rounds() {
			b.back(begin)
			var what string
			if round%2 == 0 {
				at := 1 + random.Int64N(n)
				what = fmt.Sprintf("%s, killed at step %d of %d", name, at, n)
				b.child(at).Run()
			} else {
				after := time.Duration(random.Int64N(int64(took)))
				what = fmt.Sprintf("%s, killed after %v", name, after)
				c := b.child(0)
				if err := c.Start(); err != nil {
					t.Fatal(err)
				}
				time.AfterFunc(after, func() { c.Process.Kill() })
				c.Wait()
			}
			if d := cmp.Diff(own, b.own()); d != "" {
				t.Fatalf("%s: the job is another: %s", what, d)
			}
			if out, err := b.child(0).CombinedOutput(); err != nil {
				t.Fatalf("%s, then: %v: %s", what, err, out)
			}
			if d := cmp.Diff(want, tree(t, b.shelf)); d != "" {
				t.Fatalf("%s: %s", what, d)
			}
		}
	}
}

// own are the files of the job but those that garner keeps for itself.
func (b *bench) own() map[string]string {
	all := tree(b.t, b.dir)
	for p := range all {
		if strings.HasPrefix(p, ".garner/") {
			delete(all, p)
		}
	}
	return all
}

// A disk that becomes full, or goes away, at any step fails by itself: the other bag is
// whole, and the next run completes both.
func TestPlaceFails(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	b := newBench(t)
	first := b.grown()
	o := Options{Dirs: []string{filepath.Join(b.shelf, "one"), filepath.Join(b.shelf, "two")}, VolumeOf: disks(b.shelf)}
	two := filepath.Join(b.shelf, "two")
	fail := func(at int64, fault error) (Summary, int64) {
		b.back(first)
		fsys := steps{below: two, n: new(atomic.Int64), at: at, do: func() error { return fault }}
		sum, err := run(context.Background(), b.j, o, fsys)
		if err != nil {
			t.Fatalf("%v at step %d: %v", fault, at, err)
		}
		return sum, fsys.n.Load()
	}
	_, n := fail(0, nil)
	want := tree(t, b.shelf)
	for round := range 2 * rounds() {
		at, fault := 1+random.Int64N(n), error(syscall.ENOSPC)
		if round%2 == 1 {
			fault = syscall.EIO
		}
		sum, _ := fail(at, fault)
		if sum.Places[0].Err != nil || !sum.Places[0].Proven || sum.Safe != (sum.Places[1].Err == nil) {
			t.Fatalf("%v at step %d: %+v", fault, at, sum)
		}
		b.valid(sum.Places[0].Dir)
		if sum := b.run(o); !sum.Safe {
			t.Fatalf("%v at step %d, then: %+v", fault, at, sum)
		}
		if d := cmp.Diff(want, tree(t, b.shelf)); d != "" {
			t.Fatalf("%v at step %d: %s", fault, at, d)
		}
	}
}

// Killed while the very first file of a bag is written, the bag is still made there.
func TestKilledBeforeTheBagIsOne(t *testing.T) {
	b := newBench(t)
	var dirs []string
	o := b.twoDisks()
	for _, shelf := range o.Dirs {
		dirs = append(dirs, filepath.Join(shelf, filepath.Base(b.dir)))
		dir := dirs[len(dirs)-1]
		if err := errors.Join(os.MkdirAll(dir, 0o777), os.WriteFile(filepath.Join(dir, store.PartialName("growing.txt", "3e12445b88afc628")), []byte("half"), 0o666)); err != nil {
			t.Fatal(err)
		}
	}
	sum := b.run(o)
	for i, p := range sum.Places {
		if p.Dir != dirs[i] || p.Err != nil {
			t.Errorf("the bag is %s: %v", p.Dir, p.Err)
		}
	}
}
