package copy_test

import (
	"context"
	"fmt"
	"io/fs"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"

	"garner/store/copy"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
)

// watched is a file system that sees the buffers that pass, and who reads.
type watched struct {
	vfs.FS
	mu      sync.Mutex
	buffers map[*byte]bool

	readers, most atomic.Int32 // of files on the card, now and at most
	sync          func(path string)
	read          func(path string)
}

type watchedFile struct {
	vfs.File
	w *watched
}

func (w *watched) Open(name string) (vfs.File, error) {
	f, err := w.FS.Open(name)
	if err == nil {
		f = watchedFile{f, w}
	}
	return f, err
}

func (w *watched) OpenFile(name string, flag int, perm fs.FileMode) (vfs.File, error) {
	f, err := w.FS.OpenFile(name, flag, perm)
	if err == nil {
		f = watchedFile{f, w}
	}
	return f, err
}

// saw notes where a buffer begins. Reads may begin inside of one, so only the
// first read of a piece counts; here every read fills its buffer.
func (w *watched) saw(p []byte) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.buffers == nil {
		w.buffers = map[*byte]bool{}
	}
	if len(p) > 0 {
		w.buffers[&p[0]] = true
	}
}

func (f watchedFile) Read(p []byte) (int, error) {
	if len(p) == 1<<20 {
		f.w.saw(p)
	}
	if strings.HasPrefix(f.Name(), "/card/") {
		now := f.w.readers.Add(1)
		defer f.w.readers.Add(-1)
		for {
			most := f.w.most.Load()
			if now <= most || f.w.most.CompareAndSwap(most, now) {
				break
			}
		}
		if f.w.read != nil {
			f.w.read(f.Name())
		}
	}
	return f.File.Read(p)
}

func (f watchedFile) Write(p []byte) (int, error) {
	f.w.saw(p)
	return f.File.Write(p)
}

func (f watchedFile) Sync() error {
	if f.w.sync != nil {
		f.w.sync(f.Name())
	}
	return f.File.Sync()
}

// copies runs that many copies of different files at once.
func copies(t *testing.T, w *watched, m *vfstest.Mem, n int, change func(*copy.Job)) {
	t.Helper()
	var all sync.WaitGroup
	for i := range n {
		src := fmt.Sprintf("/card/%d.NEF", i)
		data := content(5<<20 + i)
		m.Put(src, data)
		job := copy.Job{Source: src, Dests: []string{fmt.Sprintf("/one/A/%d.NEF", i), fmt.Sprintf("/two/A/%d.NEF", i)}}
		change(&job)
		all.Go(func() {
			if _, err := copy.File(context.Background(), w, job); err != nil {
				t.Error(err)
			}
			expectFile(t, m, job.Dests[0], data)
			expectFile(t, m, job.Dests[1], data)
		})
	}
	all.Wait()
	expectTidy(t, m)
}

// Copies that share a pool hold no more buffers than it has, with two targets
// each and all of them at once; one buffer is enough to come to the end.
func TestPoolBoundsMemory(t *testing.T) {
	for _, size := range []int{0, 1, 3, 9} { // in MiB
		m := vfstest.New(vfstest.Options{})
		w := &watched{FS: m}
		pool := copy.NewPool(size << 20)
		copies(t, w, m, 4, func(j *copy.Job) { j.Pool = pool })
		if n := len(w.buffers); n == 0 || n > max(size, 1) {
			t.Errorf("a pool of %d MiB: %d buffers of 1 MiB were seen", size, n)
		}
	}
	m := vfstest.New(vfstest.Options{})
	w := &watched{FS: m}
	copies(t, w, m, 1, func(*copy.Job) {})
	if n := len(w.buffers); n > 4 {
		t.Errorf("one copy without a pool: %d buffers", n)
	}
}

// A pool lives through failures of all kinds: every buffer comes back.
func TestPoolGetsItsBuffersBack(t *testing.T) {
	data := content(6 << 20)
	pool := copy.NewPool(2 << 20)
	for _, f := range []vfstest.Fault{
		{Op: vfstest.OpRead, Path: card, N: 3, Err: syscall.EIO},
		{Op: vfstest.OpWrite, Stay: true, Err: syscall.ENOSPC},
		{Op: vfstest.OpRead, Path: partial, N: 2, Err: syscall.EIO},
		{Op: vfstest.OpSync, Err: syscall.EIO},
	} {
		for range 3 { // more often than there are buffers
			m, job := on(vfstest.Options{}, data)
			job.Pool, job.Again = pool, 1
			f.Short = 10
			m.Inject(f)
			run(t, m, job)
		}
	}
	for range 3 {
		m, job := on(vfstest.Options{}, data)
		job.Pool = pool
		ctx, cancel := context.WithCancel(context.Background())
		job.Progress = func(int64) { cancel() }
		copy.File(ctx, m, job)
	}
	m, job := on(vfstest.Options{}, data)
	job.Pool = pool
	if _, err := run(t, m, job); err != nil {
		t.Error(err)
	}
}

// Copies of one card at once: one reads at a time.
func TestOneReaderAtATime(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	w := &watched{FS: m}
	var card sync.Mutex
	copies(t, w, m, 4, func(j *copy.Job) { j.Reader, j.Again = &card, 1 })
	if most := w.most.Load(); most != 1 {
		t.Errorf("%d read at once", most)
	}

	// Without the lock they do read at once: each waits in its first read until
	// the other has come as far.
	w = &watched{FS: m}
	m = vfstest.New(vfstest.Options{})
	w.FS = m
	var arrived atomic.Int32
	both := make(chan struct{})
	w.read = func(string) {
		if arrived.Add(1) == 2 {
			close(both)
		}
		<-both
	}
	copies(t, w, m, 2, func(*copy.Job) {})
	if w.most.Load() != 2 {
		t.Errorf("%d read at once: the watching is wrong", w.most.Load())
	}
}

// The next file is read while the last one is synced: no sync of the first file
// ends before the second file's first read.
func TestSyncOverlapsTheNextReading(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	w := &watched{FS: m}
	var mu sync.Mutex
	seen := map[string]bool{}
	second := make(chan struct{})
	w.read = func(path string) {
		mu.Lock()
		defer mu.Unlock()
		if seen[path] = true; len(seen) == 2 {
			select {
			case <-second:
			default:
				close(second)
			}
		}
	}
	w.sync = func(string) { <-second }
	var card sync.Mutex
	copies(t, w, m, 2, func(j *copy.Job) { j.Reader = &card })
	if w.most.Load() != 1 {
		t.Errorf("%d read at once", w.most.Load())
	}
}
