package copy

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"sync"

	"garner/store"
	"garner/store/vfs"
)

// Job is one file to be copied.
type Job struct {
	Source string   // path of the file; a link is followed
	Dests  []string // full paths of the targets; missing folders are made

	// Expect is the SHA-256 that the source must have, where it is known from
	// an earlier reading. A source with another one is not copied.
	Expect *[32]byte

	// AllowClone lets the file system share the bytes instead of writing them
	// again. A clone is synced and read back like any copy.
	AllowClone bool

	// Progress, if set, is called from the goroutine of the caller of File with
	// the number of bytes that were read from the source since the last call.
	Progress func(n int64)
}

// State is what became of a target.
type State uint8

// The states of a target.
const (
	Failed  State = iota // not there, or not known to be right; see Err
	Copied               // copied now
	Present              // was there, with the same content
)

// String returns the state as one word.
func (s State) String() string {
	switch s {
	case Copied:
		return "copied"
	case Present:
		return "present"
	}
	return "failed"
}

// DestResult is the outcome of one target.
type DestResult struct {
	Path     string
	State    State
	Bypassed bool  // the read-back came from the device, not from the system's cache
	Cloned   bool  // shares its bytes with the source
	Times    bool  // has the source's time of modification, to 2 s
	Err      error // why it failed; nil otherwise
}

// Result is the outcome of a [Job].
type Result struct {
	Sum   [32]byte     // SHA-256 of the source; zero if it was not read to its end
	Size  int64        // of the source, in bytes
	Dests []DestResult // in the order of Job.Dests
}

// File copies one file to all its targets. It returns an error unless every
// target is copied or present; Result tells which are, also beside an error. A
// failure of the source (also that it changed, or is not what was expected) is
// the error itself and that of every target; failures of targets are joined.
//
// Cancelling ctx ends the work between two buffers; partials are removed, and
// targets that were finished before stay. All goroutines have ended on return.
func File(ctx context.Context, fsys vfs.FS, job Job) (Result, error) {
	res := Result{Dests: make([]DestResult, len(job.Dests))}
	for i, d := range job.Dests {
		res.Dests[i].Path = d
	}
	err := job.check()
	var src *source
	if err == nil {
		src, err = openSource(fsys, job.Source, "read")
	}
	if err != nil {
		return res.fail(err)
	}
	defer src.f.Close()
	res.Size = src.size()

	targets := make([]*target, len(job.Dests))
	for i := range job.Dests {
		targets[i] = &target{fsys: fsys, src: src, res: &res.Dests[i]}
		targets[i].prepare(job.AllowClone)
	}
	sum, err := feed(ctx, src, targets, job.Progress)
	if err == nil && job.Expect != nil && sum != *job.Expect {
		err = store.Wrap("read", job.Source, store.ErrMismatch)
	}
	if err == nil {
		res.Sum = sum
	}
	conclude(ctx, targets, sum, err)
	if err != nil && !errors.Is(err, errNoTarget) {
		return res.fail(err)
	}
	distinct(fsys, res.Dests)
	return res, res.err()
}

// check refuses jobs that make no sense before anything is touched.
func (j Job) check() error {
	if len(j.Dests) == 0 {
		return store.Wrap("copy", j.Source, errors.New("there is no target"))
	}
	seen := map[string]bool{filepath.Clean(j.Source): true}
	for _, d := range j.Dests {
		clean := filepath.Clean(d)
		if seen[clean] {
			return store.Wrap("copy to", d, store.ErrSameFile)
		}
		seen[clean] = true
	}
	return nil
}

// conclude tells the targets the source's digest, or that there is none, and
// waits for them.
func conclude(ctx context.Context, targets []*target, sum [32]byte, err error) {
	var all sync.WaitGroup
	for _, t := range targets {
		all.Go(func() { t.finish(ctx, sum, err) })
	}
	all.Wait()
}

// distinct makes sure that two targets reported as done are two files: names may
// differ and lead to one file, by case, by links or by mounts.
func distinct(fsys vfs.FS, dests []DestResult) {
	for i := range dests {
		for j := range dests[:i] {
			if dests[i].State == Failed || dests[j].State == Failed {
				continue
			}
			a, aerr := fsys.Stat(dests[i].Path)
			b, berr := fsys.Stat(dests[j].Path)
			if err := errors.Join(aerr, berr); err != nil {
				dests[i].fail(store.Wrap("copy to", dests[i].Path, err))
			} else if vfs.SameFile(a, b) {
				dests[i].fail(store.Wrap("copy to", dests[i].Path, fmt.Errorf("%w: %s", store.ErrSameFile, dests[j].Path)))
			}
		}
	}
}

// fail records the first failure; of what was found before nothing holds.
func (d *DestResult) fail(err error) {
	if d.Err == nil {
		*d = DestResult{Path: d.Path, Err: err}
	}
}

// fail gives every target that has no failure of its own that of the source.
func (r Result) fail(err error) (Result, error) {
	for i := range r.Dests {
		if r.Dests[i].State == Failed {
			r.Dests[i].fail(err)
		}
	}
	return r, err
}

// err joins the failures of the targets.
func (r Result) err() error {
	var errs []error
	for _, d := range r.Dests {
		errs = append(errs, d.Err)
	}
	return errors.Join(errs...)
}
