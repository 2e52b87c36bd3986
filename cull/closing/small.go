package closing

import (
	"bytes"
	"context"
	"path/filepath"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/preview/exif"
	"garner/preview/jpeg"
	"garner/preview/sched"
	"garner/preview/small"
	"garner/store"
	"garner/store/vfs"
)

// What is made is brought to the bags in batches, so that memory is bounded and an
// interruption costs no more.
const (
	batchBytes = 256 << 20
	batchFiles = 1000
)

// picture is a small picture that was made.
type picture struct {
	data          []byte
	width, height int // as stored
}

// makeSmalls makes the small pictures that no bag has and brings them to the bags. An
// original that holds no whole JPEG is kept as it is.
func (r *runner) makeSmalls(ctx context.Context) error {
	var todo []*item
	for _, x := range r.items {
		if x.small == "" || x.why != "" {
			continue
		}
		if !x.had && r.plan.listed(x.small) {
			r.adopt(x)
		}
		if !r.plan.listed(x.small) {
			todo = append(todo, x)
		}
	}
	s := sched.New[picture](ctx, sched.Options{Workers: r.o.Workers, MaxBytes: batchBytes, MaxQueue: len(todo) + 1})
	defer s.Close()
	m := r.maker()
	var queue []*sched.Ticket[picture]
	var batch []put
	var held int64
	for i, next := 0, 0; i < len(todo); i++ {
		for ; next < len(todo) && len(queue) <= 2*r.o.Workers; next++ {
			x := todo[next]
			queue = append(queue, s.Submit(sched.Job[picture]{Key: x.path, Class: sched.Background, Bytes: 2 * largest(x),
				Run: func(ctx context.Context) (picture, error) { return m.make(ctx, x) }}))
		}
		x := todo[i]
		made, err := queue[0].Result()
		queue = queue[1:]
		if ctx.Err() != nil {
			return ctx.Err()
		}
		r.o.Progress(Progress{Stage: Making, Done: i + 1, Total: len(todo)})
		if err != nil {
			r.keepWhole(x, err)
			continue
		}
		r.sizes[x.small] = [2]int{made.width, made.height}
		r.sum.Small += int64(len(made.data))
		batch = append(batch, put{item: x, path: x.small, content: made.data})
		if held += int64(len(made.data)); held >= batchBytes || len(batch) >= batchFiles {
			if err := r.grow(ctx, batch); err != nil {
				return err
			}
			batch, held = nil, 0
		}
	}
	return r.grow(ctx, batch)
}

// adopt takes a small picture over that a bag has and no record knows: an earlier run
// was interrupted. One of other bytes stays what it is, and ours gets another name.
func (r *runner) adopt(x *item) {
	for _, p := range r.places {
		if _, ok := p.sum(x.small); !ok {
			continue
		}
		if o, err := readSmall(filepath.Join(p.Dir, filepath.FromSlash(x.small))); err != nil || o.Sum != *x.sum {
			x.small = r.plan.later(x)
			return
		}
	}
	x.had = true
}

func readSmall(path string) (small.Original, error) {
	f, info, err := vfs.OpenPlain(path)
	if err != nil {
		return small.Original{}, err
	}
	defer f.Close()
	return small.Read(f, info.Size())
}

// keepWhole has an original kept of which no small picture can be made.
func (r *runner) keepWhole(x *item, err error) {
	x.small, x.had = "", false
	x.unpictured = store.Reason(err)
	r.plan.whole(x)
	x.lacked = r.lacking(x.bag)
	r.sum.Whole = append(r.sum.Whole, Left{x.path, x.unpictured})
}

// maker makes small pictures. Its methods may be called by several goroutines.
type maker struct {
	root      string
	edge      int
	letters   map[string]string
	corrected map[cull.ID]cull.Stamp
}

func (r *runner) maker() maker {
	m := maker{r.job.Root(), r.o.Small, map[string]string{}, map[cull.ID]cull.Stamp{}}
	for _, b := range r.whole.Bodies {
		m.letters[b.Key] = b.Letter
	}
	for _, p := range r.whole.Session.Layout().Places {
		m.corrected[p.Frame] = p.Corrected
	}
	return m
}

func (m maker) make(ctx context.Context, x *item) (picture, error) {
	f, info, err := vfs.OpenPlain(filepath.Join(m.root, filepath.FromSlash(x.path)))
	if err != nil {
		return picture{}, err
	}
	defer f.Close()
	if info.Size() != x.size || !info.ModTime().Equal(x.mod) {
		return picture{}, store.ErrChanged
	}
	src, o, err := small.Of(ctx, f, info.Size())
	if err != nil {
		return picture{}, err
	}
	o.Frame, o.Path, o.Role, o.Sum, o.Head = string(x.frame.ID), x.path, string(x.of.Role), *x.sum, x.of.Head
	for _, a := range x.frame.Aliases {
		o.Aliases = append(o.Aliases, string(a))
	}
	o.Body, o.Corrected = m.letters[x.frame.Body], exifTime(m.corrected[x.frame.ID])
	var p picture
	if m.edge > 0 {
		p.data, err = small.Shrink(src, m.edge, o)
	} else {
		p.data, err = small.Wrap(src, o)
	}
	if err != nil {
		return picture{}, err
	}
	size, err := jpeg.Config(bytes.NewReader(p.data), 0, int64(len(p.data)))
	p.width, p.height = size.Width, size.Height
	return p, err
}

func exifTime(s cull.Stamp) exif.Time {
	return exif.Time{Wall: s.Wall, Digits: s.Digits, Zone: s.Zone, HasZone: s.ZoneIs != cull.ZoneUnknown && s.ZoneIs != ""}
}

// largest is the size of the largest JPEG in an original, as far as the job knows.
func largest(x *item) int64 {
	var n int64
	for _, p := range x.frame.Previews {
		if p.File == x.path && p.Whole {
			n = max(n, p.Length)
		}
	}
	return n
}

// smallOf says of a frame which picture is kept in place of its original.
func (r *runner) smallOf(x *item) *record.Small {
	size, ok := r.sizes[x.small]
	if !ok {
		if was := r.smalls[x.frame.ID]; was != nil && was.Path == x.small {
			size = [2]int{was.Width, was.Height}
		} else {
			size = r.measure(x.small)
		}
	}
	return record.SmallOf(x.small, x.path, store.Hex(*x.sum), x.size, size[0], size[1])
}

// freed says the same of a frame whose original was let go: its small picture does.
func (r *runner) freed(x *item) *record.Small {
	if was := r.smalls[x.frame.ID]; was != nil && was.Path == x.bag {
		return was
	}
	o, err := readSmall(r.source(x.path))
	if err != nil {
		return nil
	}
	size := r.measure(x.bag)
	return record.SmallOf(x.bag, o.Path, store.Hex(o.Sum), o.Bytes, size[0], size[1])
}

// measure reads the size of a small picture that is in a bag.
func (r *runner) measure(path string) (size [2]int) {
	for _, p := range r.places {
		if _, ok := p.sum(path); !ok {
			continue
		}
		f, info, err := vfs.OpenPlain(filepath.Join(p.Dir, filepath.FromSlash(path)))
		if err != nil {
			continue
		}
		c, err := jpeg.Config(f, 0, info.Size())
		f.Close()
		if err == nil {
			return [2]int{c.Width, c.Height}
		}
	}
	return size
}
