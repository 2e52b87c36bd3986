package archive

import (
	"context"
	"crypto/sha256"
	"crypto/sha512"
	"errors"
	"path/filepath"
	"slices"
	"sync"

	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
)

// Grow makes the bags of g.Dirs, or adds to them what they have not: each file is
// read once for all of them, and read back from each. The doc of the package says
// what is durable when.
//
// Places are independent: one that fails, by a full disk, fails alone. A source that
// can't be read, or is not what it must be, ends the work in all of them. The error
// joins those of the places.
func Grow(ctx context.Context, fsys vfs.FS, g Growth) ([]Place, error) {
	if err := g.check(); err != nil {
		return nil, err
	}
	w := &growth{Growth: g, fsys: fsys, places: make([]Place, len(g.Dirs))}
	for i, dir := range g.Dirs {
		w.places[i] = Place{Dir: dir, Bypassed: true}
		w.sites = append(w.sites, &site{fsys: fsys, place: &w.places[i]})
	}
	w.each(func(s *site) error { return s.open(ctx) })
	w.each(func(s *site) error { return s.begin(g) })
	source := w.fill(ctx)
	if source != nil {
		w.each(func(*site) error { return source })
	}
	w.each(func(s *site) error { return s.finish(ctx, g) })
	errs := []error{source} // of all places, said once
	for _, p := range w.places {
		if p.Err != source {
			errs = append(errs, p.Err)
		}
	}
	return w.places, errors.Join(errs...)
}

// growth is the work of Grow.
type growth struct {
	Growth
	fsys   vfs.FS
	sites  []*site
	places []Place
	reader sync.Mutex // one source is read at a time, and others are synced and read back meanwhile
	tally  tally
}

// each does a step at all places that have not failed.
func (w *growth) each(step func(*site) error) {
	for _, s := range w.sites {
		if s.alive() {
			if err := step(s); err != nil {
				s.fail(err)
			}
		}
	}
}

// fill brings the payload to the bags, two files at a time.
func (w *growth) fill(ctx context.Context) error {
	if err := w.count(); err != nil {
		return err
	}
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	next := make(chan Put)
	var workers sync.WaitGroup
	for range together {
		workers.Go(func() {
			for p := range next {
				if ctx.Err() == nil {
					if err := w.put(ctx, p); err != nil {
						cancel(err)
					}
				}
			}
		})
	}
	for _, p := range w.Puts {
		next <- p
	}
	close(next)
	workers.Wait()
	if ctx.Err() != nil {
		return store.Wrap("archive to", w.Dirs[0], context.Cause(ctx))
	}
	return nil
}

// count finds out how much there is to do.
func (w *growth) count() error {
	w.tally = tally{report: w.Progress}
	for _, p := range w.Puts {
		if lack, _ := w.split(p.Path); len(lack) > 0 {
			size, err := w.sizeOf(p)
			if err != nil {
				return err
			}
			w.tally.now.OfFiles++
			w.tally.now.OfBytes += max(size, 0)
		}
	}
	return nil
}

// sizeOf returns how many bytes a file has, or -1 where it is not made.
func (w *growth) sizeOf(p Put) (int64, error) {
	if p.Make != nil {
		return -1, nil
	}
	if p.Source == "" {
		return int64(len(p.Content)), nil
	}
	info, err := w.fsys.Stat(p.Source)
	if err != nil {
		return 0, store.Wrap("read", p.Source, err)
	}
	return info.Size(), nil
}

// split returns the places that lack a file, and those that list it.
func (w *growth) split(path string) (lack, have []*site) {
	for _, s := range w.sites {
		if !s.alive() {
			continue
		}
		if s.lists(path) {
			have = append(have, s)
		} else {
			lack = append(lack, s)
		}
	}
	return lack, have
}

// put brings one file to the places that lack it, and holds the others to having it
// with the same bytes. An error is one of the source.
func (w *growth) put(ctx context.Context, p Put) error {
	lack, have := w.split(p.Path)
	if p.Make != nil && (len(lack) > 0 || p.Sum == nil) {
		if err := w.make(ctx, &p, len(lack) > 0); err != nil {
			return err
		}
	}
	sum, known := p.known()
	if len(lack) > 0 {
		is, err := w.copy(ctx, p, lack)
		if err != nil {
			return err
		}
		w.tally.end(p.Path)
		if is != (sums{}) {
			sum, known = is.s256, true
		}
	}
	size, err := w.sizeOf(p)
	if err != nil {
		return err
	}
	odd := func(s *site) bool { return size >= 0 && s.bytes(p.Path) != size }
	if len(have) > 0 && p.Source != "" && (!known || slices.ContainsFunc(have, odd)) {
		c, err := copy.ReadBack(ctx, w.fsys, p.Source)
		if err == nil && p.Sum != nil && c.Sum != *p.Sum {
			err = store.Wrap("read", p.Source, store.ErrMismatch)
		}
		if err != nil {
			return err
		}
		sum = c.Sum
	}
	for _, s := range have {
		s.compare(p.Path, sum, !odd(s))
	}
	return nil
}

// make turns a file that is to be made into one that is.
func (w *growth) make(ctx context.Context, p *Put, counts bool) error {
	b, err := p.Make(ctx)
	if err == nil && p.Sum != nil && sha256.Sum256(b) != *p.Sum {
		err = store.ErrMismatch
	}
	if err != nil {
		return store.Wrap("make", p.Path, err)
	}
	p.Content, p.Make = b, nil
	if counts {
		w.tally.more(int64(len(b)))
	}
	return nil
}

// known returns the digest that a file must have, where that is known.
func (p Put) known() (sum [32]byte, ok bool) {
	switch {
	case p.Sum != nil:
		return *p.Sum, true
	case p.Source == "":
		return sha256.Sum256(p.Content), true
	}
	return sum, false
}

// copy makes the copies. Of a place it is a failure, not an error, that it can't
// have one; where all fail there may be no digests.
func (w *growth) copy(ctx context.Context, p Put, lack []*site) (sums, error) {
	second := sha512.New()
	job := copy.Job{Source: p.Source, Expect: p.Sum, Also: second, Reader: &w.reader}
	job.Progress = func(n int64) { w.tally.add(p.Path, n, 0) }
	for _, s := range lack {
		job.Dests = append(job.Dests, join(s.place.Dir, p.Path))
	}
	fsys := w.fsys
	if p.Source == "" {
		m := inMemory(fsys, p)
		fsys, job.Source = m, m.path
	}
	res, err := copy.File(ctx, fsys, job)
	if e, ok := err.(*store.Error); ok && filepath.Clean(e.Path) == filepath.Clean(job.Source) {
		return sums{}, err // not one of the places, which are joined
	}
	var is sums
	if res.Sum != is.s256 { // else all places failed before it was read
		is = sums{s256: res.Sum, s512: [sha512.Size]byte(second.Sum(nil))}
	}
	var again []*site
	for i, d := range res.Dests {
		s := lack[i]
		switch {
		case d.State != copy.Failed:
			s.took(p.Path, is, res.Size, d)
		case ctx.Err() != nil && errors.Is(d.Err, ctx.Err()): // it is not the place that failed
			return sums{}, context.Cause(ctx)
		case errors.Is(d.Err, store.ErrDiffers) && s.sweep(p.Path):
			again = append(again, s)
		default:
			s.fail(d.Err)
		}
	}
	if len(again) > 0 {
		w.tally.add(p.Path, -res.Size, 0)
		return w.copy(ctx, p, again)
	}
	return is, nil
}

// lists reports whether the bag has a file, or is about to list it.
func (s *site) lists(path string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	_, ok := s.list[path]
	return ok
}

// took notes a file that is in the bag now.
func (s *site) took(path string, is sums, size int64, d copy.DestResult) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.list[path], s.size[path] = is, size
	s.place.Added++
	s.place.Bytes += size
	s.place.Bypassed = s.place.Bypassed && d.Bypassed
}

// bytes returns the size of a file that the bag lists.
func (s *site) bytes(path string) int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.size[path]
}

// compare holds a file that the bag lists against what is to be archived.
func (s *site) compare(path string, sum [32]byte, sameSize bool) {
	s.mu.Lock()
	differ := s.list[path].s256 != sum
	if !differ && sameSize {
		s.place.Present++
	}
	s.mu.Unlock()
	switch {
	case differ:
		s.fail(differs(s.place.Dir, path))
	case !sameSize:
		s.fail(store.Wrap("archive to", join(s.place.Dir, path), errDamaged))
	}
}

// sweep removes a file that an interrupted growing left, so that it can be put
// anew. It is no part of the bag: no manifest lists it.
func (s *site) sweep(path string) bool {
	s.mu.Lock()
	ours := s.is.adding[path]
	delete(s.is.adding, path) // once
	s.mu.Unlock()
	return ours && s.fsys.Remove(join(s.place.Dir, path)) == nil
}

// absent returns what the bag does not list yet, sorted.
func (s *site) absent(puts []Put) []string {
	var paths []string
	for _, p := range puts {
		if !s.lists(p.Path) {
			paths = append(paths, p.Path)
		}
	}
	slices.Sort(paths)
	return paths
}
