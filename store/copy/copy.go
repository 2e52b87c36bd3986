package copy

import (
	"context"
	"errors"
	"fmt"
	"hash"
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

	// Ends is the [store.EndsHash] that an earlier look at the source gave. A
	// source with another one has changed, or is read differently each time, and
	// is not copied.
	Ends *[32]byte

	// Also, if set, is another digest of the source, from the same read: it is
	// reset when the reading begins, and holds where Result.Sum does.
	Also hash.Hash

	// AllowClone lets the file system share the bytes instead of writing them
	// again. A clone is synced and read back like any copy.
	AllowClone bool

	// Reader, if set, is held while the source is read and not while targets
	// are synced and read back: copies that share one read one after the other
	// and overlap in all the rest. Waiting for it can't be cancelled, so those
	// who share it should share their context too.
	Reader sync.Locker

	// Again is how often a source that can't be read ([store.ReadError]), or
	// changes meanwhile, is tried again: from its beginning, for all targets,
	// with new partials.
	Again int

	// Pool bounds the buffers of all copies that share it; nil gives the copy
	// its own.
	Pool *Pool

	// Progress, if set, is called from the goroutine of the caller of File with
	// the number of bytes that were read from the source since the last call. A
	// reading that is begun anew first takes back, as a negative number, what it
	// had counted.
	Progress func(n int64)

	// Stage, if set, is told where a target, by its place in Dests, has got to.
	// It is called from the goroutines of the targets, so from several at once.
	Stage func(dest int, stage Stage)
}

// Stage is how far a target has got.
type Stage uint8

// The stages of a target. One that is compared only (it was there) or cloned
// skips Writing; one that fails goes to Done from wherever it was. Done comes
// once for each target, and last; a source that can't be opened has no stages.
const (
	Writing     Stage = iota // takes the source's pieces; again after each Again
	Syncing                  // waits for the medium
	ReadingBack              // is compared
	Done                     // has succeeded or failed; Result will say which
)

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
	Sum  [32]byte // SHA-256 of the source if it was read to its end, whatever became of the targets; else zero
	Size int64    // of the source, in bytes
	// Bypassed tells that the source came from its device, not from the system's
	// cache.
	Bypassed bool
	Dests    []DestResult // in the order of Job.Dests
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
	if err := job.check(); err != nil {
		return res.fail(err)
	}
	r := &reading{fsys: fsys, job: job, res: &res}
	err := r.run(ctx)
	if err == nil && job.Expect != nil && res.Sum != *job.Expect {
		err = store.Wrap("read", job.Source, store.ErrMismatch)
	}
	conclude(ctx, r.targets, res.Sum, err)
	if err != nil && !errors.Is(err, errNoTarget) {
		return res.fail(err)
	}
	distinct(fsys, res.Dests)
	return res, res.err()
}

// stage returns how the target at that place reports.
func (j Job) stage(dest int) func(Stage) {
	return func(s Stage) {
		if j.Stage != nil {
			j.Stage(dest, s)
		}
	}
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
			} else if vfs.SameFile(a, b) || oneName(fsys, dests[i].Path, dests[j].Path) {
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
