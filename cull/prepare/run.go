package prepare

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/preview/cache"
)

// Run prepares a job. When ctx ends it saves what is done and returns the
// Summary of that with the error of ctx. Frames that cannot be shown are no
// error: they are in the Summary and have a problem.
func Run(ctx context.Context, j *job.Job, o Options) (Summary, error) {
	watched := o.Saved != nil
	o = o.withDefaults()
	r := &run{o: o, watched: watched, j: j, began: o.Now(), fresh: map[cull.ID]bool{}}
	err := r.all(ctx)
	r.sum.Took = o.Now().Sub(r.began)
	return r.sum, err
}

// run is one Run on its way.
type run struct {
	o       Options
	watched bool // there is an Options.Saved
	j       *job.Job
	began   time.Time
	sum     Summary
	frames  []cull.Frame      // by name
	letters map[string]string // of the bodies, by key
	fresh   map[cull.ID]bool  // frames that were new or had changed
	cache   *cache.Cache
	looks   map[cull.ID]cull.Look // what is known of the pictures, from the stage pictures on
}

func (r *run) all(ctx context.Context) error {
	if err := r.scanInParts(ctx); err != nil {
		return err
	}
	r.cache = cache.Open(r.j.CacheDir(), cache.Options{MaxDisk: r.cacheBytes()})
	defer r.cache.Close()
	work := r.pictures(ctx)
	if work != nil && !errors.Is(work, context.Canceled) && !errors.Is(work, context.DeadlineExceeded) {
		return work
	}
	// An interrupted run orders what it has: it takes a moment, and the pictures
	// that were made count.
	return errors.Join(work, r.order())
}

// cacheBytes is what the cache may take of the disk. Where the system does not
// say how much is free, the greatest limit holds.
func (r *run) cacheBytes() int64 {
	switch {
	case r.o.CacheBytes < 0:
		return 0
	case r.o.CacheBytes > 0:
		return r.o.CacheBytes
	}
	free, err := r.j.FreeSpace()
	if err != nil {
		return cache.MaxDisk
	}
	return cache.Limit(free)
}

// order puts the frames in order as far as they are known now.
func (r *run) order() error {
	r.o.Progress(Progress{Stage: Grouping, Total: len(r.frames)})
	saved, err := regroup(r.j, r.frames)
	if err != nil {
		return err
	}
	l, err := r.j.Layout() // as it was corrected by hand
	if err != nil {
		return err
	}
	if saved {
		r.o.Saved(Saved{Frames: []cull.Frame{}, Layout: true})
	}
	r.sum.Scenes, r.sum.Moments = len(l.Scenes), 0
	if n := len(l.Places); n > 0 {
		r.sum.Moments = l.Places[n-1].Moment + 1
	}
	r.o.Progress(Progress{Stage: Grouping, Done: len(r.frames), Total: len(r.frames)})
	return nil
}

func (r *run) warn(text string) {
	r.sum.Warnings = append(r.sum.Warnings, text)
	if r.o.Warn != nil {
		r.o.Warn(text)
	}
}

// cacheFailed notes that nothing more goes into the cache. It is said once.
func (r *run) cacheFailed(err error) {
	if errors.Is(err, cache.ErrFull) {
		r.sum.CacheFull = true
		r.warn("the disk is full: thumbnails are made but not kept, everything else goes on")
		return
	}
	text := err.Error()
	var path *os.PathError
	if errors.As(err, &path) {
		text = path.Err.Error()
	}
	r.warn(fmt.Sprintf("the cache cannot be written (%s): thumbnails are made but not kept", text))
}
