package atomicfile_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/store"
	"garner/store/atomicfile"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

var (
	oldData = bytes.Repeat([]byte("old content. "), 200)
	newData = bytes.Repeat([]byte("the new one, longer: "), 300)
)

// replace writes newData over /d/f through wrap(m), in several pieces.
func replace(m *vfstest.Mem, wrap func(vfs.FS) vfs.FS) error {
	w, err := atomicfile.Create(wrap(m), "/d/f", 0o644)
	if err != nil {
		return err
	}
	for piece := range slices.Chunk(newData, 1000) {
		w.Write(piece)
	}
	return w.Commit()
}

// crashes lets the power fail before each operation of a replacement, looks at
// many disks that could be left, and returns what it found wrong. The property:
// the file is old or new (or absent, if it was), whole; new once the call has
// returned nil; and nothing but a partial is beside it.
func crashes(existed bool, wrap func(vfs.FS) vfs.FS, seeds uint64) (wrong []string, points int) {
	fresh := func() *vfstest.Mem {
		m := vfstest.New(vfstest.Options{})
		m.Put("/d/other", []byte("untouched"))
		if existed {
			m.Put("/d/f", oldData)
		}
		return m
	}
	whole := fresh()
	if err := replace(whole, wrap); err != nil {
		return []string{err.Error()}, 0
	}
	points = whole.Count("")
	for n := 0; n <= points; n++ {
		m := fresh()
		m.PowerOffAfter(n)
		err := replace(m, wrap)
		for seed := range seeds {
			c := m.CrashClone(rand.New(rand.NewPCG(seed, uint64(n))))
			if s := judge(c, existed, err == nil); s != "" {
				wrong = append(wrong, fmt.Sprintf("power off after %d operations, seed %d: %s", n, seed, s))
			}
		}
	}
	return wrong, points
}

func judge(c *vfstest.Mem, existed, acknowledged bool) string {
	b, ok := c.Get("/d/f")
	switch {
	case acknowledged && !bytes.Equal(b, newData):
		return fmt.Sprintf("acknowledged, but %d bytes are there", len(b))
	case !ok && existed:
		return "the file is gone"
	case ok && !bytes.Equal(b, newData) && !(existed && bytes.Equal(b, oldData)):
		return fmt.Sprintf("neither old nor new: %d bytes, %.20q", len(b), b)
	}
	if b, _ := c.Get("/d/other"); string(b) != "untouched" {
		return "another file changed"
	}
	if _, err := atomicfile.Sweep(c, "/d"); err != nil {
		return err.Error()
	}
	for _, n := range c.Names("/d") {
		if n != "f" && n != "other" {
			return "left behind: " + n
		}
	}
	return ""
}

func same(fsys vfs.FS) vfs.FS { return fsys }

func TestCrash(t *testing.T) {
	for _, existed := range []bool{true, false} {
		wrong, points := crashes(existed, same, 60)
		for _, w := range wrong {
			t.Errorf("existed %v: %s", existed, w)
		}
		if points < 12 {
			t.Errorf("only %d crash points: the test does not see the steps", points)
		}
	}
}

// Without syncs the same test has to find faults, or it shows nothing.
func TestCrashTestFindsMissingSyncs(t *testing.T) {
	for _, l := range vfstest.Lazies() {
		wrong, _ := crashes(true, l.On, 60)
		if len(wrong) == 0 {
			t.Errorf("without syncs (of files %v, of folders %v) nothing was found wrong", l.File, l.Folder)
		}
	}
}

// TestFaultAtEachOperation lets each operation fail once, in turn, and holds the
// outcome to the contract: old content and no partial, or, when the folder's sync
// failed, new content.
func TestFaultAtEachOperation(t *testing.T) {
	probe := vfstest.New(vfstest.Options{})
	probe.Put("/d/f", oldData)
	if err := replace(probe, same); err != nil {
		t.Fatal(err)
	}
	for n := 1; n <= probe.Count(""); n++ {
		op := probe.Log()[n-1].Op
		m := vfstest.New(vfstest.Options{})
		m.Put("/d/f", oldData)
		m.Inject(vfstest.Fault{N: n, Err: errFault, Short: 100})
		err := replace(m, same)
		if err == nil {
			t.Errorf("%d (%s): the failure was not reported", n, op)
			continue
		}
		if got := store.Class(err); got != store.NoSpace {
			t.Errorf("%d (%s): class %v of %v", n, op, got, err)
		}
		want := oldData
		if op == vfstest.OpSyncDir {
			want = newData
		}
		if b, _ := m.Get("/d/f"); !bytes.Equal(b, want) {
			t.Errorf("%d (%s): %d bytes are there, want %d", n, op, len(b), len(want))
		}
		if names := m.Names("/d"); len(names) != 1 {
			t.Errorf("%d (%s): left behind: %q", n, op, names)
		}
	}
}
