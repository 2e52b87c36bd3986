package copy_test

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"slices"
	"syscall"
	"testing"
	"time"

	"garner/store"
	"garner/store/copy"
	"garner/store/vfs/vfstest"
)

const partial = "garner-partial"

// What can go wrong with a copy on its way to the medium. Each happens to the
// first target and must be found there, and must not touch the second.
func TestDamageToACopyIsFound(t *testing.T) {
	data := content(3<<20 + 11)
	for _, c := range []struct {
		name  string
		op    vfstest.Op // before which it happens
		do    func(m *vfstest.Mem, partial string)
		class store.Failure
	}{
		{"one bit flipped on the medium", vfstest.OpSync, func(m *vfstest.Mem, p string) { m.Rot(p, 9_999_999) }, store.Mismatch},
		{"first bit flipped on the medium", vfstest.OpSync, func(m *vfstest.Mem, p string) { m.Rot(p, 0) }, store.Mismatch},
		{"one bit flipped in memory", vfstest.OpDropCache, func(m *vfstest.Mem, p string) {
			m.Change(p, func(b []byte) []byte { b[1<<20] ^= 4; return b })
		}, store.Mismatch},
		{"cut by one byte", vfstest.OpDropCache, func(m *vfstest.Mem, p string) {
			m.Change(p, func(b []byte) []byte { return b[:len(b)-1] })
		}, store.Changed},
		{"cut by one byte before the sync", vfstest.OpSync, func(m *vfstest.Mem, p string) {
			m.Change(p, func(b []byte) []byte { return b[:len(b)-1] })
		}, store.Mismatch},
		{"longer by one byte", vfstest.OpSync, func(m *vfstest.Mem, p string) {
			m.Change(p, func(b []byte) []byte { return append(b, 0) })
		}, store.Mismatch},
		{"same size, other content", vfstest.OpSync, func(m *vfstest.Mem, p string) {
			m.Change(p, func(b []byte) []byte { return make([]byte, len(b)) })
		}, store.Mismatch},
		{"two sectors swapped", vfstest.OpSync, func(m *vfstest.Mem, p string) {
			m.Change(p, func(b []byte) []byte {
				one := bytes.Clone(b[:512])
				n := bytes.NewBuffer(b[:0])
				n.Write(b[512:1024])
				n.Write(one)
				return b
			})
		}, store.Mismatch},
		{"vanished before the sync", vfstest.OpSync, func(m *vfstest.Mem, p string) { m.Remove(p) }, store.Missing},
		{"vanished after the read-back", vfstest.OpRename, func(m *vfstest.Mem, p string) {
			for _, n := range m.Names("/one/A") {
				m.Remove("/one/A/" + n)
			}
		}, store.Missing},
		{"a sector that can't be read back", vfstest.OpSync, func(m *vfstest.Mem, p string) { m.Break(p, 2<<20) }, store.ReadError},
	} {
		m, job := on(vfstest.Options{}, data)
		m.Inject(vfstest.Fault{Op: c.op, Path: "/one/", Do: func(p string) { c.do(m, p) }})
		res, err := run(t, m, job)
		if got := store.Class(res.Dests[0].Err); err == nil || got != c.class {
			t.Errorf("%s: %v (%v), want %v", c.name, res.Dests[0].Err, got, c.class)
		}
		expectFile(t, m, job.Dests[0], nil)
		if res.Dests[1].State != copy.Copied {
			t.Errorf("%s: the other target: %+v", c.name, res.Dests[1])
		}
		expectFile(t, m, job.Dests[1], data)
		expectTidy(t, m)
	}
}

// The length is compared before the read-back, which a server may answer late.
func TestLengthIsCheckedFirst(t *testing.T) {
	m, job := on(vfstest.Options{}, content(5000))
	m.Inject(vfstest.Fault{Op: vfstest.OpStat, Path: partial, Do: func(p string) {
		m.Change(p, func(b []byte) []byte { return b[:4999] })
	}})
	job.Dests = job.Dests[:1]
	_, err := run(t, m, job)
	var e *store.Error
	if !errors.As(err, &e) || e.Op != "write" || !errors.Is(err, store.ErrMismatch) {
		t.Errorf("%v", err)
	}
	if m.Count(vfstest.OpSync) != 0 {
		t.Error("it went on to the sync")
	}
}

// Where the cache can't be bypassed a rotten bit is not seen; then it must be
// said that the read-back shows less.
func TestNoBypassIsSaid(t *testing.T) {
	m, job := on(vfstest.Options{NoBypass: true}, content(10_000))
	m.Inject(vfstest.Fault{Op: vfstest.OpSync, Path: "/one/", Do: func(p string) { m.Rot(p, 100) }})
	res, err := run(t, m, job)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range res.Dests {
		if d.Bypassed {
			t.Errorf("%s is said to have been read from the device", d.Path)
		}
	}
}

// What can go wrong with the source. None of it may give a final name anywhere.
func TestSourceFailures(t *testing.T) {
	data := content(3<<20 + 11)
	rewrite := func(m *vfstest.Mem, b []byte) func(string) { return func(string) { m.Put(card, b) } }
	for _, c := range []struct {
		name  string
		fault func(m *vfstest.Mem) vfstest.Fault
		class store.Failure
	}{
		{"rewritten while it is read", func(m *vfstest.Mem) vfstest.Fault {
			return vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 2, Do: rewrite(m, flip(data, 3))}
		}, store.Changed},
		{"touched while it is read", func(m *vfstest.Mem) vfstest.Fault {
			return vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 2, Do: func(string) { m.Chtimes(card, time.Unix(1, 0)) }}
		}, store.Changed},
		{"grown while it is read", func(m *vfstest.Mem) vfstest.Fault {
			return vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 2, Do: rewrite(m, append(bytes.Clone(data), 1))}
		}, store.Changed},
		{"grown, its time set back", func(m *vfstest.Mem) vfstest.Fault {
			return vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 2, Do: func(string) {
				m.Change(card, func(b []byte) []byte { return append(b, 1) })
			}}
		}, store.Changed},
		{"shortened while it is read", func(m *vfstest.Mem) vfstest.Fault {
			return vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 2, Do: rewrite(m, data[:len(data)-1])}
		}, store.Changed},
		{"replaced while it is read", func(m *vfstest.Mem) vfstest.Fault {
			return vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 2, Do: func(string) {
				info, _ := m.Stat(card)
				m.Put("/card/other", data)
				m.Chtimes("/card/other", info.ModTime())
				m.Rename("/card/other", card)
			}}
		}, store.Changed},
		{"vanished while it is read", func(m *vfstest.Mem) vfstest.Fault {
			return vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 2, Do: func(string) { m.Remove(card) }}
		}, store.Missing},
		{"card pulled", func(m *vfstest.Mem) vfstest.Fault {
			return vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 2, Stay: true, Err: syscall.ENODEV}
		}, store.DeviceGone},
		{"sector that can't be read", func(m *vfstest.Mem) vfstest.Fault {
			m.Break(card, 2<<20+512)
			return vfstest.Fault{Op: "none"}
		}, store.ReadError},
		{"not allowed", func(m *vfstest.Mem) vfstest.Fault {
			return vfstest.Fault{Op: vfstest.OpOpen, Path: card, Err: syscall.EACCES}
		}, store.Permission},
	} {
		m, job := on(vfstest.Options{}, data)
		m.Inject(c.fault(m))
		res, err := run(t, m, job)
		if got := store.Class(err); got != c.class {
			t.Errorf("%s: %v (%v), want %v", c.name, err, got, c.class)
		}
		if res.Sum != ([32]byte{}) {
			t.Errorf("%s: there is a digest", c.name)
		}
		for _, d := range res.Dests {
			if d.Err != err {
				t.Errorf("%s: a target says %v, the call %v", c.name, d.Err, err)
			}
			expectFile(t, m, d.Path, nil)
		}
		expectTidy(t, m)
	}
}

func TestReadErrorSaysWhere(t *testing.T) {
	m, job := on(vfstest.Options{}, content(3<<20))
	m.Break(card, 2<<20+512)
	_, err := run(t, m, job)
	var e *store.Error
	if !errors.As(err, &e) || e.Offset != 2<<20+512 || e.Path != card || e.Op != "read" {
		t.Errorf("%+v", e)
	}
}

// A source that ends early though its size has not changed: the reader of a
// broken card does that.
func TestEarlyEnd(t *testing.T) {
	m, job := on(vfstest.Options{}, content(3<<20))
	cut := false
	m.Inject(vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 3, Do: func(string) {
		m.Change(card, func(b []byte) []byte { return b[:2<<20] })
		cut = true
	}})
	m.Inject(vfstest.Fault{Op: vfstest.OpStat, Path: card, N: 3, Stay: true, Do: func(string) {
		if cut {
			m.Change(card, func(b []byte) []byte { return append(b[:2<<20], make([]byte, 1<<20)...) })
		}
	}})
	_, err := run(t, m, job)
	var e *store.Error
	if !errors.Is(err, store.ErrCutShort) || store.Class(err) != store.ReadError || !errors.As(err, &e) || e.Op != "read" || e.Offset != 2<<20 {
		t.Errorf("%v", err)
	}
	expectTidy(t, m)
}

// A source that does not stop growing is given up at its first byte too many.
func TestGrowingSourceIsGivenUp(t *testing.T) {
	m, job := on(vfstest.Options{}, content(2<<20))
	m.Inject(vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 2, Do: func(string) {
		m.Change(card, func(b []byte) []byte { return append(b, make([]byte, 30<<20)...) })
	}})
	var read int64
	job.Progress = func(n int64) { read += n }
	if _, err := run(t, m, job); !errors.Is(err, store.ErrChanged) || read > 2<<20 {
		t.Errorf("%v after %d bytes", err, read)
	}
}

// What another program wrote and never synced is present only once it is durable.
func TestPresentIsMadeDurable(t *testing.T) {
	data := content(5000)
	for seed := range uint64(40) {
		m, job := on(vfstest.Options{}, data)
		m.Put("/one/A/keep", nil)
		m.Put("/two/A/keep", nil)
		for _, d := range job.Dests {
			f, err := m.OpenFile(d, os.O_RDWR|os.O_CREATE, 0o644)
			if err != nil {
				t.Fatal(err)
			}
			f.Write(data)
			f.Close()
		}
		res, err := run(t, m, job)
		if err != nil || res.Dests[0].State != copy.Present || !res.Dests[0].Bypassed {
			t.Fatalf("%+v, %v", res.Dests, err)
		}
		c := m.CrashClone(rand.New(rand.NewPCG(seed, 3)))
		for _, d := range job.Dests {
			expectFile(t, c, d, data)
		}
	}
}

// A target that fails in any way leaves the other one alone.
func TestTargetFailures(t *testing.T) {
	data := content(3<<20 + 11)
	for _, c := range []struct {
		name  string
		fault vfstest.Fault
		class store.Failure
	}{
		{"full at once", vfstest.Fault{Op: vfstest.OpPreallocate, Err: syscall.ENOSPC}, store.NoSpace},
		{"full in the middle", vfstest.Fault{Op: vfstest.OpWrite, N: 2, Err: syscall.ENOSPC, Short: 1000}, store.NoSpace},
		{"broken in the middle", vfstest.Fault{Op: vfstest.OpWrite, N: 3, Err: syscall.EIO}, store.WriteError},
		{"broken at the sync", vfstest.Fault{Op: vfstest.OpSync, Err: syscall.EIO}, store.WriteError},
		{"full at the close", vfstest.Fault{Op: vfstest.OpClose, Err: syscall.EDQUOT}, store.NoSpace},
		{"unreadable afterwards", vfstest.Fault{Op: vfstest.OpRead, N: 2, Err: syscall.EIO}, store.ReadError},
		{"rename fails", vfstest.Fault{Op: vfstest.OpRename, Err: syscall.EIO}, store.WriteError},
		{"read-only", vfstest.Fault{Op: vfstest.OpCreate, Err: syscall.EROFS}, store.Permission},
		{"no folder", vfstest.Fault{Op: vfstest.OpMkdir, Err: syscall.EACCES}, store.Permission},
		{"too large for FAT", vfstest.Fault{Op: vfstest.OpWrite, N: 2, Err: syscall.EFBIG}, store.TooLarge},
	} {
		m, job := on(vfstest.Options{}, data)
		c.fault.Path = "/one"
		m.Inject(c.fault)
		res, err := run(t, m, job)
		if got := store.Class(res.Dests[0].Err); got != c.class || err == nil {
			t.Errorf("%s: %v (%v), want %v", c.name, res.Dests[0].Err, got, c.class)
		}
		if res.Dests[1].State != copy.Copied {
			t.Errorf("%s: the other target: %+v", c.name, res.Dests[1])
		}
		expectFile(t, m, job.Dests[0], nil)
		expectFile(t, m, job.Dests[1], data)
		expectTidy(t, m)
		m.Heal()
		if res, err = run(t, m, job); err != nil || res.Dests[0].State != copy.Copied || res.Dests[1].State != copy.Present {
			t.Errorf("%s: once more: %+v, %v", c.name, res.Dests, err)
		}
	}
}

// A disk that goes away takes its partial with it; when it is back, a sweep
// clears up.
func TestTargetDiskVanishes(t *testing.T) {
	data := content(3 << 20)
	m, job := on(vfstest.Options{}, data)
	m.Put("/one/A/keep", nil)
	m.Inject(vfstest.Fault{Path: "/one", N: 8, Stay: true, Err: syscall.ENODEV})
	res, _ := run(t, m, job)
	if store.Class(res.Dests[0].Err) != store.DeviceGone || res.Dests[1].State != copy.Copied {
		t.Errorf("%+v", res.Dests)
	}
	m.Heal()
	left := slices.DeleteFunc(m.Names("/one/A"), func(n string) bool { return !store.IsPartial(n) })
	if len(left) != 1 {
		t.Errorf("partials: %q", left)
	}
}

// With nobody left to read for, the card is not read to its end.
func TestAllTargetsFail(t *testing.T) {
	m, job := on(vfstest.Options{}, content(30<<20))
	m.Inject(vfstest.Fault{Op: vfstest.OpWrite, Path: partial, Stay: true, Err: syscall.ENOSPC})
	var read int64
	job.Progress = func(n int64) { read += n }
	_, err := run(t, m, job)
	if store.Class(err) != store.NoSpace || read > 10<<20 {
		t.Errorf("%v after %d bytes", err, read)
	}
	expectTidy(t, m)
}

func TestFileTooLargeForFAT(t *testing.T) {
	m, job := on(vfstest.Options{FAT: true, MaxFile: 5000}, content(4000))
	if _, err := run(t, m, job); err != nil {
		t.Error(err)
	}
	m, job = on(vfstest.Options{FAT: true, MaxFile: 5000}, content(6000))
	res, err := run(t, m, job)
	if store.Class(err) != store.TooLarge {
		t.Errorf("%+v", res)
	}
	expectTidy(t, m)
}

// Two bodies with one file name: the second must not replace the first.
func TestSameNameFromASecondBody(t *testing.T) {
	m, job := on(vfstest.Options{}, content(5000))
	m.Put("/card2/IMG_0001.CR3", content(5001))
	if _, err := run(t, m, job); err != nil {
		t.Fatal(err)
	}
	job.Source = "/card2/IMG_0001.CR3"
	if _, err := run(t, m, job); !errors.Is(err, store.ErrDiffers) {
		t.Errorf("%v", err)
	}
	expectFile(t, m, job.Dests[0], content(5000))
}

// Two programs copying one file to one place at once: both end, one copy is
// there, whole, and neither is told a falsehood.
func TestTwoAtOnce(t *testing.T) {
	data := content(2<<20 + 5)
	for range 20 {
		m, job := on(vfstest.Options{}, data)
		errs := make(chan error)
		for range 3 {
			go func() {
				_, err := copy.File(context.Background(), m, job)
				errs <- err
			}()
		}
		for range 3 {
			if err := <-errs; err != nil {
				t.Error(err)
			}
		}
		expectFile(t, m, job.Dests[0], data)
		expectTidy(t, m)
	}
}
