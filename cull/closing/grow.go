package closing

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"garner/cull"
	"garner/store"
	"garner/store/archive"
)

// sliceBytes and sliceFiles bound what is brought to the bags before their manifests say
// so: as much as an interruption can cost.
const (
	sliceBytes = 16 << 30
	sliceFiles = 2000
)

// put is one file that bags lack.
type put struct {
	item    *item // nil = it is none of the job's
	path    string
	content []byte   // nil = a copy
	sources []string // places that it may be copied from, in the order in which they are tried
}

// fill brings everything to the bags but the record.
func (r *runner) fill(ctx context.Context) error {
	r.sizes = map[string][2]int{}
	if err := r.room(); err != nil {
		return err
	}
	if err := r.makeSmalls(ctx); err != nil {
		return err
	}
	own := map[string]bool{} // paths of files of the job: a killed freeing leaves small pictures beside their originals
	for _, x := range r.items {
		own[x.bag] = true
	}
	var copies []put
	r.far = Progress{Stage: Copying}
	for _, x := range r.items {
		for _, path := range []string{x.bag, x.small} {
			if path == "" || !r.lacking(path) {
				continue
			}
			if path == x.small && (own[path] || !r.plan.listed(path)) {
				continue // it was made, or could not be brought anywhere
			}
			copies = append(copies, r.copyOf(x, path))
			r.far.Total++
			r.far.All += x.size
		}
	}
	for len(copies) > 0 {
		n, bytes := 0, int64(0)
		for ; n < len(copies) && n < sliceFiles && bytes < sliceBytes; n++ {
			bytes += copies[n].item.size
		}
		if err := r.grow(ctx, copies[:n]); err != nil {
			return err
		}
		copies = copies[n:]
	}
	return r.learn()
}

// copyOf is a file to be copied from the job, or from a bag that has it.
func (r *runner) copyOf(x *item, path string) put {
	c := put{item: x, path: path}
	if path == x.bag && !x.retired {
		c.sources = append(c.sources, r.from(x))
	}
	for _, p := range r.places {
		if _, ok := p.sum(path); ok {
			c.sources = append(c.sources, filepath.Join(p.Dir, filepath.FromSlash(path)))
		}
	}
	return c
}

// lacking reports whether any place that is worked on lacks a path.
func (r *runner) lacking(path string) bool {
	return slices.ContainsFunc(r.places, func(p *place) bool { return p.lacks(path) })
}

func (p *place) lacks(path string) bool {
	_, ok := p.sum(path)
	return p.alive() && !ok
}

// grow brings files to the places that lack them, those together that are lacked by the
// same ones. Which lack what is asked anew each time: a growing that was interrupted may
// be ended on the way, and its files listed then.
func (r *runner) grow(ctx context.Context, puts []put) error {
	for len(puts) > 0 {
		at := r.lackers(puts[0].path)
		var group, rest []put
		for _, c := range puts {
			if slices.Equal(r.lackers(c.path), at) {
				group = append(group, c)
			} else {
				rest = append(rest, c)
			}
		}
		if len(at) > 0 {
			if err := r.growAt(ctx, at, group); err != nil {
				return err
			}
		}
		r.far.Done += len(group)
		for _, c := range group {
			if c.content == nil {
				r.far.Bytes += c.item.size
			}
		}
		if !slices.ContainsFunc(r.places, (*place).alive) {
			return r.placeErrors()
		}
		puts = rest
	}
	return nil
}

// lackers are the places that lack a path.
func (r *runner) lackers(path string) []*place {
	var at []*place
	for _, p := range r.places {
		if p.lacks(path) {
			at = append(at, p)
		}
	}
	return at
}

// growAt brings files to places. A file that cannot be read is noted and left out.
func (r *runner) growAt(ctx context.Context, at []*place, group []put) error {
	group = slices.Clone(group)
	for {
		results, err := archive.Grow(ctx, r.fsys, r.growth(at, group))
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if bad, why := atFault(results, group); bad >= 0 {
			if !r.another(&group[bad], why) {
				group = slices.Delete(group, bad, bad+1)
			}
			continue
		}
		if len(results) == 0 {
			return err // nothing was touched
		}
		for i, p := range at {
			p.Added += results[i].Added
			p.Bytes += results[i].Bytes
			p.Bypassed = p.Bypassed && results[i].Bypassed
			if p.Err = results[i].Err; p.alive() {
				p.Err = p.open(r.fsys)
			}
		}
		return nil
	}
}

// growth is what is asked of package archive.
func (r *runner) growth(at []*place, group []put) archive.Growth {
	g := archive.Growth{Tags: r.tags(), Info: r.info()}
	for _, p := range at {
		g.Dirs = append(g.Dirs, p.Dir)
	}
	for _, c := range group {
		q := archive.Put{Path: c.path, Content: c.content}
		if c.content == nil {
			q.Source = c.sources[0]
			if c.path == c.item.bag {
				q.Sum = c.item.sum
			} else if s, ok := r.sumOf(c.path); ok {
				q.Sum = &s
			}
		} else {
			q.Modified = r.whole.Last
		}
		g.Puts = append(g.Puts, q)
	}
	far := r.far
	g.Progress = func(p archive.Progress) {
		if far.Stage == Copying {
			r.o.Progress(Progress{Stage: Copying, Done: far.Done + p.Files, Total: max(far.Total, far.Done+p.OfFiles), Bytes: far.Bytes + p.Bytes, All: max(far.All, far.Bytes+p.OfBytes)})
		}
	}
	return g
}

// sumOf is what any bag has for a path.
func (r *runner) sumOf(path string) (s sum, ok bool) {
	for _, p := range r.places {
		if s, ok := p.sum(path); ok {
			return s, true
		}
	}
	return s, false
}

// atFault finds the file whose source could not be taken, and why; -1 = it is the places
// that failed, or nothing did.
func atFault(results []archive.Place, group []put) (int, error) {
	for _, place := range results {
		var e *store.Error
		for err := place.Err; errors.As(err, &e); err = e.Err {
			if i := slices.IndexFunc(group, func(c put) bool { return len(c.sources) > 0 && c.sources[0] == e.Path }); i >= 0 {
				return i, e
			}
		}
	}
	return -1, nil
}

// another says what becomes of a file whose source could not be copied: there may be
// another place that has it; or its bytes are not what the manifest says, then they are
// kept as they are and that is said. It is false where nothing can be done.
func (r *runner) another(c *put, err error) bool {
	x := c.item
	fromJob := c.sources[0] == r.from(x)
	wrong := errors.Is(err, store.ErrMismatch)
	if fromJob && wrong {
		x.altered = true
	}
	if c.sources = c.sources[1:]; len(c.sources) > 0 {
		return true
	}
	if fromJob && wrong && x.sum != nil {
		x.sum, c.sources = nil, []string{r.from(x)}
		return true
	}
	r.failed(x, err)
	return false
}

// learn takes the sums of files that were copied without knowing them.
func (r *runner) learn() error {
	for _, x := range r.items {
		if x.sum == nil && x.bag != "" {
			s, ok := r.sumOf(x.bag)
			if !ok {
				return fmt.Errorf("%s: %w", cull.Plain(x.path), store.ErrCutShort)
			}
			x.sum = &s
		}
	}
	return nil
}

// room refuses a place that has not room enough, before the first byte.
func (r *runner) room() error {
	for _, p := range r.places {
		if !p.alive() {
			continue
		}
		var need int64
		for _, x := range r.items {
			if x.bag != "" && p.lacks(x.bag) {
				need += x.size - r.partly(p, x.bag, x.size)
			}
			if x.small != "" && p.lacks(x.small) {
				need += largest(x) - r.partly(p, x.small, largest(x))
			}
		}
		if need > p.vol.Free {
			p.Err = &RoomError{need, p.vol.Free}
		}
	}
	if !slices.ContainsFunc(r.places, (*place).alive) {
		return r.placeErrors()
	}
	return nil
}

// partly is how much of a file is there already: an interrupted run brings it.
func (r *runner) partly(p *place, path string, most int64) int64 {
	info, err := r.fsys.Lstat(filepath.Join(p.Dir, filepath.FromSlash(path)))
	if err != nil {
		return 0
	}
	return min(info.Size(), most)
}

// RoomError says that a folder has not room enough for the bag.
type RoomError struct{ Needs, Free int64 }

func (e *RoomError) Error() string {
	return fmt.Sprintf("there is not room enough: %d MB are needed, %d MB are free", (e.Needs+999_999)/1_000_000, e.Free/1_000_000)
}
