package copy

import (
	"context"
	"sync"

	"garner/store"
	"garner/store/vfs"
)

// reading brings a job's source to its targets, trying again as often as the job
// says.
type reading struct {
	fsys    vfs.FS
	job     Job
	res     *Result
	targets []*target // nil until the source could be opened
	pool    *Pool
	counted int64 // bytes that Progress was told of
}

// run returns nil when the source was read to its end; its digest is then in the
// result.
func (r *reading) run(ctx context.Context) error {
	for left := r.job.Again; ; left-- {
		err := r.once(ctx)
		class := store.Class(err)
		if err == nil || left <= 0 || class != store.ReadError && class != store.Changed {
			return err
		}
		r.count(-r.counted)
	}
}

// once is one reading from the beginning.
func (r *reading) once(ctx context.Context) error {
	src, err := openSource(r.fsys, r.job.Source, "read")
	if err != nil {
		return err
	}
	defer src.f.Close()
	r.res.Size = src.size()
	r.res.Bypassed = src.f.DropCache() // what is said of a source has to be read from it now
	if r.pool = r.job.Pool; r.pool == nil {
		r.pool = ownPool(src.size(), len(r.job.Dests))
	}
	r.prepare(src)

	digest, ends := store.NewDigest(), newEnds(src.size())
	writing, pieces := r.spread(func(b []byte) {
		digest.Write(b)
		if r.job.Ends != nil {
			ends.write(b)
		}
	})
	err = r.pump(ctx, src, pieces)
	pieces.end()
	writing.Wait()
	if err == nil && r.job.Ends != nil && ends.sum() != *r.job.Ends {
		err = store.Wrap("read", src.path, store.ErrChanged)
	}
	if err == nil {
		r.res.Sum = digest.Sum()
	}
	return err
}

// prepare makes the targets, or gives those that the last reading fed in vain a
// new beginning.
func (r *reading) prepare(src *source) {
	first := r.targets == nil
	for i := range r.job.Dests {
		if first {
			r.targets = append(r.targets, &target{fsys: r.fsys, res: &r.res.Dests[i], stage: r.job.stage(i)})
		}
		t := r.targets[i]
		t.src, t.pool = src, r.pool
		switch {
		case first:
			t.prepare(r.job.AllowClone)
		case t.alive() && t.f != nil:
			t.discard()
			t.prepare(false)
		}
	}
}

// spread starts everybody who takes the source's pieces: the digests, side by side,
// and all targets that write.
func (r *reading) spread(digest func([]byte)) (*sync.WaitGroup, *pieces) {
	var writing []*target
	for _, t := range r.targets {
		if t.f != nil && t.alive() {
			writing = append(writing, t)
		}
	}
	digests := []func([]byte){digest}
	if also := r.job.Also; also != nil {
		also.Reset()
		digests = append(digests, func(b []byte) { also.Write(b) })
	}
	p := newPieces(r.pool, len(writing)+len(digests))
	var all sync.WaitGroup
	for i, t := range writing {
		all.Go(func() {
			t.stage(Writing)
			p.each(i, t.write)
		})
	}
	for i, take := range digests {
		all.Go(func() { p.each(len(writing)+i, take) })
	}
	return &all, p
}

// count passes progress on.
func (r *reading) count(n int64) {
	if r.job.Progress != nil && n != 0 {
		r.counted += n
		r.job.Progress(n)
	}
}
