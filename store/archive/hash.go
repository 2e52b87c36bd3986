package archive

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"hash"
	"io"
	"slices"
	"strings"
	"sync"

	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
)

// together is how many files are read at once: one is hashed while the medium
// gives the next. More would make a disk seek.
const together = 2

// file is one to be read, and what it must be.
type file struct {
	path  string // on the disk
	name  string // in the manifests
	lists []manifest

	found    []Finding
	bypassed bool
}

// want notes a file to be read.
func (c *checking) want(path, name string, lists []manifest) {
	c.files = append(c.files, &file{path: path, name: name, lists: lists})
}

// readAll reads all files, some at once, and takes their findings in by order of
// path.
func (c *checking) readAll(ctx context.Context, fsys vfs.FS, progress func(Progress)) error {
	slices.SortFunc(c.files, func(a, b *file) int { return cmp.Compare(a.path, b.path) })
	t := &tally{report: progress, now: Progress{OfFiles: len(c.files)}}
	for _, f := range c.files {
		t.now.OfBytes += c.there.files[f.path]
	}
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	next := make(chan *file)
	var workers sync.WaitGroup
	for range together {
		workers.Go(func() {
			for f := range next {
				if err := f.read(ctx, fsys, c.bag, t); err != nil {
					cancel(err)
				}
			}
		})
	}
	for _, f := range c.files {
		if ctx.Err() != nil {
			break
		}
		next <- f
	}
	close(next)
	workers.Wait()
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	c.Bypassed = true
	for _, f := range c.files {
		c.Bypassed = c.Bypassed && f.bypassed
		for _, n := range f.found {
			c.fault(n.Kind, n.Path, "%s", n.What)
		}
		if isPayload(f.name) && len(f.found) == 0 {
			c.Files++
			c.Bytes += c.there.files[f.path]
		}
	}
	return nil
}

// read compares one file with its checksums, all from one reading. Only cancelling
// is an error.
func (f *file) read(ctx context.Context, fsys vfs.FS, b *Bag, t *tally) error {
	into := []io.Writer{t.of(f.path)}
	hashes := map[string]hash.Hash{}
	for _, m := range f.lists {
		if _, ok := m.sums[f.name]; ok && m.algorithm != "sha256" && hashes[m.algorithm] == nil {
			hashes[m.algorithm] = algorithms[m.algorithm]()
			into = append(into, hashes[m.algorithm])
		}
	}
	c, err := copy.ReadBackTo(ctx, fsys, join(b.Dir, f.path), io.MultiWriter(into...))
	t.end(f.path)
	if err := ctx.Err(); err != nil {
		return err
	}
	f.bypassed = c.Bypassed
	if err != nil {
		f.found = append(f.found, Finding{true, Unread, f.path, "could not be read: " + reason(err)})
		return nil
	}
	var against []string
	for _, m := range f.lists {
		want, ok := m.sums[f.name]
		is := string(c.Sum[:])
		if h := hashes[m.algorithm]; h != nil {
			is = string(h.Sum(nil))
		}
		if ok && is != want {
			against = append(against, m.file)
		}
	}
	if len(against) > 0 && !b.growing.explains(f.path, c.Sum) {
		f.found = append(f.found, Finding{true, Differs, f.path, "has other bytes than those of " + strings.Join(against, " and ")})
	}
	return nil
}

// reason is an error without the path that a finding says already.
func reason(err error) string {
	var e *store.Error
	if !errors.As(err, &e) {
		return err.Error()
	}
	if e.Offset >= 0 {
		return fmt.Sprintf("at byte %d: %v", e.Offset, e.Err)
	}
	return e.Err.Error()
}

// tally counts what several readers have done.
type tally struct {
	mu     sync.Mutex
	now    Progress
	report func(Progress)
}

// of returns a writer that counts for a file.
func (t *tally) of(path string) io.Writer { return counter{t, path} }

type counter struct {
	t    *tally
	path string
}

func (c counter) Write(p []byte) (int, error) {
	c.t.add(c.path, int64(len(p)), 0)
	return len(p), nil
}

// end counts a file.
func (t *tally) end(path string) { t.add(path, 0, 1) }

// more makes the work larger by what could not be counted before.
func (t *tally) more(bytes int64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.now.OfBytes += bytes
}

func (t *tally) add(path string, bytes int64, files int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.now.Path = path
	t.now.Bytes += bytes
	t.now.Files += files
	if t.report != nil {
		t.report(t.now)
	}
}
