package closing

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/store"
	"garner/store/volume"
)

func (b *bench) twoDisks() Options {
	return Options{Dirs: []string{filepath.Join(b.shelf, "one"), filepath.Join(b.shelf, "two")}, VolumeOf: disks(b.shelf)}
}

// has reports whether a bag has a file of these bytes somewhere.
func has(t *testing.T, bag string, want []byte) bool {
	t.Helper()
	for _, text := range tree(t, bag) {
		if text == store.Hex(sha256.Sum256(want)) {
			return true
		}
	}
	return false
}

// A file that was changed under its size and time is not taken for archived because it
// is archived again: the bags get what it is now, and only then the folder may go.
func TestChangedUnderItsTime(t *testing.T) {
	b := newBench(t)
	notes := filepath.Join(b.dir, "notes.txt")
	if err := os.WriteFile(notes, bytes.Repeat([]byte("n"), 300), 0o666); err != nil {
		t.Fatal(err)
	}
	o := b.twoDisks()
	if sum := b.run(o); !sum.Safe {
		t.Fatalf("%v", sum.Why)
	}
	for _, p := range []string{notes, filepath.Join(b.dir, filepath.FromSlash(b.main(4)))} {
		if err := edited(p); err != nil {
			t.Fatal(err)
		}
		if s := b.stands(); s.Safe {
			t.Fatalf("%s was edited, and the folder may be deleted", p)
		}
		sum := b.run(o)
		is, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, place := range sum.Places {
			if sum.Safe && !has(t, place.Dir, is) {
				t.Errorf("the folder may be deleted, and %s lacks %s as it is", place.Dir, p)
			}
		}
		if s := b.stands(); s.Safe != sum.Safe || !s.Safe {
			t.Errorf("%s: %v, %v", p, s.Why, sum.Why)
		}
	}
}

// Nor is one that was changed after an interrupted run had brought it to the bags.
func TestChangedAfterAnInterruption(t *testing.T) {
	b := newBench(t)
	name := filepath.Join(b.dir, filepath.FromSlash(b.main(4)))
	was, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.j.RecordManifest(map[string]job.Sum{b.main(4): sha256.Sum256(was)}); err != nil {
		t.Fatal(err)
	}
	o := b.twoDisks()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	o.Progress = func(p Progress) {
		if p.Stage == Writing {
			cancel()
		}
	}
	if _, err := Run(ctx, b.j, o); !errors.Is(err, context.Canceled) {
		t.Fatal(err)
	}
	if err := appended(name); err != nil {
		t.Fatal(err)
	}
	o.Progress = nil
	sum := b.run(o)
	for _, place := range sum.Places {
		if !has(t, place.Dir, append(was, 'x')) {
			t.Errorf("%s lacks what %s is now; the folder may be deleted: %v", place.Dir, name, sum.Safe)
		}
	}
	if sum.Safe {
		t.Error("an original is not what the manifest says, and the folder may be deleted")
	}
}

// Whether the folder may go is asked of where job and bags lie now, and of bags that are
// of this job.
func TestWhereTheBagsLieNow(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 1)
	o := b.twoDisks()
	b.run(o)
	if s := b.stands(); !s.Safe {
		t.Fatalf("%v", s.Why)
	}
	one := func(name string) func(string) (volume.Volume, error) {
		return func(p string) (volume.Volume, error) {
			v, err := disks(b.shelf)(p)
			if v.Disk == name {
				v.Disk, v.Root = "job", "/job"
			}
			return v, err
		}
	}
	s, err := stands(context.Background(), b.j, one("two"), nil)
	if err != nil || s.Safe || !strings.Contains(fmt.Sprint(s.Why), "same disk as the job") {
		t.Errorf("the job was moved to the disk of a bag: %+v %v", s, err)
	}
	other := newBench(t)
	other.decide(cull.No, 2)
	other.run(Options{})
	ours, theirs := filepath.Join(o.Dirs[1], filepath.Base(b.dir)), filepath.Join(other.shelf, filepath.Base(other.dir))
	if err := errors.Join(os.Rename(ours, ours+" away"), os.CopyFS(ours, os.DirFS(theirs))); err != nil {
		t.Fatal(err)
	}
	if s := b.stands(); s.Safe || !strings.Contains(fmt.Sprint(s.Why), "not of this job") {
		t.Errorf("another job's bag lies there: %+v", s)
	}
}

// A dropped frame that the rescue took back is a keeper: the bags have its original.
func TestRescued(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 1, 2)
	if sum := b.run(Options{}); sum.Files[Smaller] != 2 {
		t.Fatalf("%+v", sum.Files)
	}
	_, err := b.j.Append(
		cull.Entry{Verb: cull.VerbPass, Args: []string{cull.RescuePass, "from", cull.KeepPass, "no", "Take it back?"}},
		cull.Entry{Verb: cull.VerbAnswer, Pass: cull.RescuePass, Changes: []cull.Change{{Frame: b.ids[b.names[1]], After: cull.Yes, Shown: true, Explicit: true}}})
	if err != nil {
		t.Fatal(err)
	}
	sum := b.run(Options{})
	is, err := os.ReadFile(filepath.Join(b.dir, filepath.FromSlash(b.main(1))))
	if err != nil {
		t.Fatal(err)
	}
	if sum.Files[Smaller] != 1 || !has(t, sum.Places[0].Dir, is) {
		t.Errorf("%+v, the bag has it: %v", sum.Files, has(t, sum.Places[0].Dir, is))
	}
}
