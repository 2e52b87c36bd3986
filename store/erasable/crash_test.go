package erasable_test

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"

	"garner/store/erasable"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

const begins = "erasable"

var (
	former = append([]byte(begins), bytes.Repeat([]byte("former content. "), 200)...)
	fresh  = append([]byte(begins), bytes.Repeat([]byte("new and longer: "), 300)...)
)

func file(fsys vfs.FS) erasable.File {
	return erasable.File{FS: fsys, Path: "/d/f", Begins: begins, MaxSize: 1 << 20}
}

// work is what may be interrupted, and what may stand afterwards.
type work struct {
	name  string
	had   []byte // nil: no file
	do    func(f erasable.File) error
	after []byte // once done; nil: no file
}

func works() []work {
	replace := func(f erasable.File) error { return f.Replace(fresh) }
	remove := func(f erasable.File) error { return f.Remove() }
	return []work{
		{"replace", former, replace, fresh}, {"make", nil, replace, fresh}, {"remove", former, remove, nil}, {"remove nothing", nil, remove, nil},
		{"replace and remove", former, func(f erasable.File) error { return errors.Join(f.Replace(fresh), f.Remove()) }, nil},
	}
}

func (w work) start() *vfstest.Mem {
	m := vfstest.New(vfstest.Options{})
	m.Put("/d/other", []byte("untouched"))
	if w.had != nil {
		m.Put("/d/f", w.had)
	}
	return m
}

// crashes lets the power fail before each operation of a work, looks at many disks
// that could be left, settles them, and returns what it found wrong: the file is the
// former or the new one or, if that was asked for, gone; it is what was asked for
// once the call has returned nil; and nothing lies beside it.
func crashes(w work, wrap func(vfs.FS) vfs.FS, seeds uint64) (wrong []string, points int) {
	whole := w.start()
	if err := w.do(file(wrap(whole))); err != nil {
		return []string{err.Error()}, 0
	}
	points = whole.Count("")
	for n := 0; n <= points; n++ {
		m := w.start()
		m.PowerOffAfter(n)
		err := w.do(file(wrap(m)))
		for seed := range seeds {
			c := m.CrashClone(rand.New(rand.NewPCG(seed, uint64(n))))
			if s := w.judge(c, err == nil); s != "" {
				wrong = append(wrong, fmt.Sprintf("%s: power off after %d operations, seed %d: %s", w.name, n, seed, s))
			}
		}
	}
	return wrong, points
}

func (w work) judge(c *vfstest.Mem, acknowledged bool) string {
	for range 2 { // the second time there is nothing left to do
		if err := file(c).Settle(); err != nil {
			return err.Error()
		}
	}
	b, ok := c.Get("/d/f")
	switch {
	case acknowledged && (ok != (w.after != nil) || !bytes.Equal(b, w.after)):
		return fmt.Sprintf("acknowledged, but %d bytes are there", len(b))
	case !ok && w.had != nil && w.after != nil:
		return "the file is gone"
	case ok && !bytes.Equal(b, fresh) && !bytes.Equal(b, w.had):
		return fmt.Sprintf("neither former nor new: %d bytes, %.20q", len(b), b)
	}
	if b, _ := c.Get("/d/other"); string(b) != "untouched" {
		return "another file changed"
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
	for _, w := range works() {
		wrong, points := crashes(w, same, 40)
		for _, s := range wrong {
			t.Error(s)
		}
		if w.had != nil && points < 12 {
			t.Errorf("%s: only %d crash points: the test does not see the steps", w.name, points)
		}
	}
}

// Without syncs the same test has to find faults, or it shows nothing.
func TestCrashTestFindsMissingSyncs(t *testing.T) {
	for _, l := range vfstest.Lazies() {
		wrong, _ := crashes(works()[0], l.On, 60)
		if len(wrong) == 0 {
			t.Errorf("without syncs (of files %v, of folders %v) nothing was found wrong", l.File, l.Folder)
		}
	}
}

// Whenever a file loses its last name its bytes are zeros, on every disk that a
// power failure in that instant could leave.
func TestNothingIsRemovedUnwritten(t *testing.T) {
	for _, w := range works() {
		m := w.start()
		removed := 0
		m.Inject(vfstest.Fault{Op: vfstest.OpRemove, Stay: true, Do: func(path string) {
			removed++
			for seed := range uint64(20) {
				c := m.CrashClone(rand.New(rand.NewPCG(seed, 7)))
				if b, ok := c.Get(path); ok && len(bytes.Trim(b, "\x00")) > 0 {
					t.Errorf("%s: %s is removed and holds %.20q", w.name, path, b)
				}
			}
		}})
		m.Inject(vfstest.Fault{Op: vfstest.OpTruncate, Stay: true, Do: func(path string) { t.Errorf("%s: %s is cut", w.name, path) }})
		if err := w.do(file(m)); err != nil {
			t.Fatal(err)
		}
		if (w.had != nil) != (removed > 0) {
			t.Errorf("%s: %d files removed", w.name, removed)
		}
	}
}

// Each operation fails once, in turn: the failure is told, and the next call finds
// the former or the new content and completes.
func TestFaultAtEachOperation(t *testing.T) {
	for _, w := range works() {
		probe := w.start()
		if err := w.do(file(probe)); err != nil {
			t.Fatal(err)
		}
		for n := 1; n <= probe.Count(""); n++ {
			m := w.start()
			m.Inject(vfstest.Fault{N: n, Err: errors.New("fault"), Short: 5})
			op := probe.Log()[n-1]
			// A close after a sync has nothing to tell.
			if err := w.do(file(m)); err == nil && !(op.Op == vfstest.OpClose && op.Path == "/d/f.old") {
				t.Errorf("%s: %d (%s %s): the failure was not reported", w.name, n, op.Op, op.Path)
			}
			m.Heal()
			if s := w.judge(m, false); s != "" {
				t.Errorf("%s: %d (%s): %s", w.name, n, op.Op, s)
			}
			if err := w.do(file(m)); err != nil {
				t.Errorf("%s: %d: again: %v", w.name, n, err)
			}
			if s := w.judge(m, true); s != "" {
				t.Errorf("%s: %d (%s): again: %s", w.name, n, op.Op, s)
			}
		}
	}
}
