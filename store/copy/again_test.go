package copy_test

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"syscall"
	"testing"

	"garner/store"
	"garner/store/copy"
	"garner/store/vfs/vfstest"
)

// badReads makes the source's first n readings end with an error in the middle.
func badReads(m *vfstest.Mem, n int, err error) {
	for i := range n {
		// Of each reading two pieces pass and the third fails, which this
		// fault does not count where an earlier one is the cause.
		m.Inject(vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 3 + 2*i, Err: err})
	}
}

func readings(m *vfstest.Mem) (n int) {
	for _, e := range m.Log() {
		if e.Op == vfstest.OpOpen && e.Path == card {
			n++
		}
	}
	return n
}

func TestAgain(t *testing.T) {
	data := content(5<<20 + 3)
	for _, c := range []struct {
		name     string
		again    int
		bad      int // readings that fail
		err      error
		readings int
		copied   bool
	}{
		{"never", 0, 1, syscall.EIO, 1, false},
		{"once is enough", 1, 1, syscall.EIO, 2, true},
		{"twice is enough", 2, 2, syscall.EIO, 3, true},
		{"not needed", 2, 0, syscall.EIO, 1, true},
		{"not enough", 2, 3, syscall.EIO, 3, false},
		{"nobody there to ask again", 2, 1, syscall.ENODEV, 1, false},
		{"not allowed", 2, 1, syscall.EACCES, 1, false},
	} {
		m, job := on(vfstest.Options{}, data)
		badReads(m, c.bad, c.err)
		job.Again = c.again
		var read int64
		job.Progress = func(n int64) { read += n }
		res, err := run(t, m, job)
		if (err == nil) != c.copied || readings(m) != c.readings {
			t.Errorf("%s: %v after %d readings", c.name, err, readings(m))
		}
		if c.copied && (read != int64(len(data)) || res.Sum != sha256.Sum256(data)) {
			t.Errorf("%s: progress came to %d of %d, digest %x", c.name, read, len(data), res.Sum)
		}
		for _, d := range res.Dests {
			if c.copied {
				expectFile(t, m, d.Path, data)
			} else {
				expectFile(t, m, d.Path, nil)
			}
		}
		expectTidy(t, m)
	}
}

// A second reading fills new partials: what the first one wrote is not built on.
func TestAgainBeginsNewPartials(t *testing.T) {
	m, job := on(vfstest.Options{}, content(5<<20))
	badReads(m, 1, syscall.EIO)
	job.Again = 1
	if _, err := run(t, m, job); err != nil {
		t.Fatal(err)
	}
	made := map[string]bool{}
	for _, e := range m.Log() {
		if e.Op == vfstest.OpCreate {
			made[e.Path] = true
		}
	}
	if len(made) != 4 {
		t.Errorf("partials for two targets and two readings: %d", len(made))
	}
}

// A target that failed stays out, one that is only compared stays in.
func TestAgainWithTargetsInEveryState(t *testing.T) {
	data := content(5 << 20)
	m, job := on(vfstest.Options{}, data)
	job.Dests = append(job.Dests, "/three/A/IMG_0001.CR3")
	m.Put(job.Dests[2], data)
	m.Inject(vfstest.Fault{Op: vfstest.OpWrite, Path: "/one/", Err: syscall.ENOSPC})
	badReads(m, 1, syscall.EIO)
	job.Again = 1
	res, err := run(t, m, job)
	if store.Class(err) != store.NoSpace || res.Sum != sha256.Sum256(data) {
		t.Errorf("%v, %x", err, res.Sum)
	}
	if s := fmt.Sprint(res.Dests[0].State, res.Dests[1].State, res.Dests[2].State); s != "failed copied present" {
		t.Error(s)
	}
	expectFile(t, m, job.Dests[0], nil)
	expectFile(t, m, job.Dests[1], data)
	expectTidy(t, m)
}

// A card that gives less than a file's size is one that can't be read.
func TestAgainAfterAnEarlyEnd(t *testing.T) {
	data := content(3 << 20)
	m, job := on(vfstest.Options{}, data)
	m.Inject(vfstest.Fault{Op: vfstest.OpRead, Path: card, N: 3, Do: func(string) {
		m.Change(card, func(b []byte) []byte { return b[:2<<20] })
	}})
	m.Inject(vfstest.Fault{Op: vfstest.OpStat, Path: card, N: 3, Do: func(string) {
		m.Change(card, func([]byte) []byte { return slices.Clone(data) })
	}})
	job.Again = 1
	if _, err := run(t, m, job); err != nil || readings(m) != 2 {
		t.Errorf("%v after %d readings", err, readings(m))
	}
	expectFile(t, m, job.Dests[0], data)
}

// The power may fail in a second reading as well.
func TestCrashWhileReadingAgain(t *testing.T) {
	data := content(2500)
	start := func() (*vfstest.Mem, copy.Job) {
		m, job := on(vfstest.Options{}, data)
		m.Put("/one/A/keep", nil)
		m.Inject(vfstest.Fault{Op: vfstest.OpRead, Path: card, Err: syscall.EIO, Short: 1000})
		job.Again = 1
		return m, job
	}
	m, job := start()
	if _, err := run(t, m, job); err != nil {
		t.Fatal(err)
	}
	for n := range m.Count("") + 1 {
		m, job := start()
		m.PowerOffAfter(n)
		res, _ := copy.File(context.Background(), m, job)
		for seed := range uint64(10) {
			c := m.CrashClone(rand.New(rand.NewPCG(seed, uint64(n))))
			if s := judge(c, job, res, data); s != "" {
				t.Errorf("power off after %d operations, seed %d: %s", n, seed, s)
			}
		}
	}
}

// The digest is known whatever becomes of the targets: the caller may have to
// compare with it.
func TestSumOutlivesTheTargets(t *testing.T) {
	data := content(3<<20 + 1)
	for name, spoil := range map[string]func(m *vfstest.Mem, job copy.Job){
		"all differ": func(m *vfstest.Mem, job copy.Job) {
			for _, d := range job.Dests {
				m.Put(d, flip(data, 8_000_000))
			}
		},
		"none can be synced": func(m *vfstest.Mem, _ copy.Job) {
			m.Inject(vfstest.Fault{Op: vfstest.OpSync, Stay: true, Err: syscall.EIO})
		},
		"none reads back": func(m *vfstest.Mem, _ copy.Job) {
			m.Inject(vfstest.Fault{Op: vfstest.OpRead, Path: partial, Stay: true, Err: syscall.EIO})
		},
		"none can be renamed": func(m *vfstest.Mem, _ copy.Job) {
			m.Inject(vfstest.Fault{Op: vfstest.OpRename, Stay: true, Err: syscall.EROFS})
		},
	} {
		m, job := on(vfstest.Options{}, data)
		spoil(m, job)
		res, err := run(t, m, job)
		if err == nil || res.Sum != sha256.Sum256(data) || res.Size != int64(len(data)) {
			t.Errorf("%s: %v, digest %x of %d bytes", name, err, res.Sum, res.Size)
		}
		if name == "all differ" && (!errors.Is(res.Dests[0].Err, store.ErrDiffers) || !errors.Is(res.Dests[1].Err, store.ErrDiffers)) {
			t.Errorf("%+v", res.Dests)
		}
	}
}

func TestStages(t *testing.T) {
	data := content(3 << 20)
	m, job := on(vfstest.Options{}, data)
	job.Dests = append(job.Dests, "/three/A/IMG_0001.CR3", "/four/A/IMG_0001.CR3")
	m.Put(job.Dests[2], data)
	m.Put(job.Dests[3], data[1:])
	m.Inject(vfstest.Fault{Op: vfstest.OpSync, Path: "/two/", Err: syscall.EIO})
	badReads(m, 1, syscall.EIO)
	job.Again = 1
	var mu sync.Mutex
	got := make([][]copy.Stage, len(job.Dests))
	job.Stage = func(dest int, s copy.Stage) {
		mu.Lock()
		defer mu.Unlock()
		got[dest] = append(got[dest], s)
	}
	run(t, m, job)
	for i, want := range [][]copy.Stage{
		{copy.Writing, copy.Writing, copy.Syncing, copy.ReadingBack, copy.Done},
		{copy.Writing, copy.Writing, copy.Syncing, copy.Done},
		{copy.Syncing, copy.ReadingBack, copy.Done},
		{copy.Done},
	} {
		if !slices.Equal(got[i], want) {
			t.Errorf("target %d went through %v, want %v", i, got[i], want)
		}
	}
}
