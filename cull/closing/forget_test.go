package closing

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"garner/cull"
	"garner/cull/closing/free"
)

// A bag that is gone keeps the folder from being deleted until it is forgotten; then the
// bags that stay decide, and a note that tells of this copy alone makes none of them old.
func TestForget(t *testing.T) {
	b := newBench(t)
	b.decide(cull.Yes, 0)
	b.decide(cull.No, 1, 2)
	o := Options{VolumeOf: disks(b.shelf)}
	for _, name := range []string{"one", "two", "three"} {
		o.Dirs = append(o.Dirs, filepath.Join(b.shelf, name))
	}
	b.run(o)
	if err := os.RemoveAll(o.Dirs[2]); err != nil {
		t.Fatal(err)
	}
	if s := b.stands(); s.Safe || len(s.Bags) != 3 {
		t.Fatalf("a bag is gone: %+v", s)
	}
	bag := func(n int) string { return filepath.Join(o.Dirs[n], filepath.Base(b.dir)) }
	var not *NotNotedError
	if _, err := ToForget(context.Background(), b.j, b.shelf); !errors.As(err, &not) || len(not.Bags) != 3 {
		t.Errorf("a folder of folders of bags: %v", err)
	}
	b.forget(bag(2), 0)
	if s := b.stands(); !s.Safe || len(s.Bags) != 2 {
		t.Errorf("forgotten: %+v", s)
	}

	// Once originals are gone, what stands for them has to lie in a bag that stays.
	w, err := free.Look(context.Background(), b.j, free.Options{Unfinished: true, VolumeOf: o.VolumeOf})
	if err != nil {
		t.Fatal(err)
	}
	if sum, err := w.Free(context.Background()); err != nil || sum.Freed != 2 {
		t.Fatalf("%+v %v", sum, err)
	}
	// The job has what the bags have of them: nothing has to be archived again.
	if s := b.stands(); !s.Safe || s.Small != 0 || s.Changed != 0 || s.Entries != 0 {
		t.Errorf("freed: %+v", s)
	}
	undo := kept(t, filepath.Join(b.dir, filepath.FromSlash(cull.SmallPath(w.Go[0].Path))))
	if err := edited(filepath.Join(b.dir, filepath.FromSlash(cull.SmallPath(w.Go[0].Path)))); err != nil {
		t.Fatal(err)
	}
	if s := b.stands(); s.Safe || s.Changed+s.Touched != 1 {
		t.Errorf("a small picture was changed: %+v", s)
	}
	undo()
	b.forget(bag(0), 0)
	f, err := ToForget(context.Background(), b.j, bag(1))
	if err != nil || len(f.Alone) != 2 || !f.Grave() || f.Freed != 2 {
		t.Errorf("the last bag: %+v %v", f, err)
	}
	// Archived again after that, a bag has no line of what was freed, and its pictures.
	b.run(o)
	b.forget(bag(1), 0)
	// One that is there and lacks a picture is none that could stand for it.
	if err := os.Remove(filepath.Join(bag(0), "data/small", filepath.FromSlash(f.Alone[0])+".jpg")); err != nil {
		t.Fatal(err)
	}
	b.forget(bag(2), 2)
}

// forget forgets a bag, by which so many originals would be left without a picture.
func (b *bench) forget(dir string, alone int) {
	b.t.Helper()
	f, err := ToForget(context.Background(), b.j, dir)
	if err != nil {
		b.t.Fatal(err)
	}
	if len(f.Alone) != alone {
		b.t.Errorf("forgetting %s leaves %q alone, want %d", dir, f.Alone, alone)
	}
	if err := f.Forget(); err != nil {
		b.t.Fatal(err)
	}
}
