package recall

import (
	"context"
	"slices"
	"sync"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/cull/recall/like"
	"garner/preview/jpeg"
)

// This file gives the thumbnails for a closer look at what is nearest by its look: those
// of bags from their records, those of jobs from their caches. Where there is none, or
// none that can be read, the frame stands where its look puts it.

const (
	// largestThumb and mostThumbPixels are up to how many bytes and pixels something in a
	// record is taken for a thumbnail, of which garner's own have some 20 kB and 60,000.
	largestThumb    = 256 << 10
	mostThumbPixels = 1 << 19
)

// lookCloser takes a closer look at the nearest frames and puts all in the order that
// comes of it.
func (l *Library) lookCloser(ctx context.Context, p *like.Picture, list []near) error {
	head := list[:min(len(list), like.Among)]
	t := &thumbs{at: map[at]thumbAt{}, records: map[string]func() *record.Record{}}
	defer t.close()
	if err := t.find(ctx, l, head); err != nil {
		return err
	}
	matches := make([]*like.Match, len(head))
	for at := range head {
		matches[at] = &head[at].Match
	}
	if err := p.Closer(ctx, matches,
		func(i int) any { return t.momentOf(head[i].at) },
		func(ctx context.Context, i int) *jpeg.Image { return t.thumb(ctx, head[i].at) },
	); err != nil {
		return err
	}
	slices.SortStableFunc(list, byLikeness)
	return nil
}

// thumbs are those of some frames.
type thumbs struct {
	at      map[at]thumbAt
	records map[string]func() *record.Record // by the folder of the bag; nil = it cannot be read
	done    []func() error
}

// thumbAt says where one lies, and of which moment the frame is.
type thumbAt struct {
	moment momentOf
	dir    string // of a bag
	span   record.Span
	viewer *prepare.Viewer // of a job
	frame  cull.Frame
}

// momentOf names a moment: they are counted in each place.
type momentOf struct {
	place  int32
	moment int
}

// momentOf is that of a frame; where it is not known the frame has one to itself.
func (t *thumbs) momentOf(at at) any {
	if one, ok := t.at[at]; ok {
		return one.moment
	}
	return at
}

// find reads, place by place, where the thumbnails are.
func (t *thumbs) find(ctx context.Context, l *Library, list []near) error {
	byPlace := map[int32][]near{}
	for _, n := range list {
		byPlace[n.place] = append(byPlace[n.place], n)
	}
	for i, some := range byPlace {
		if err := ctx.Err(); err != nil {
			return err
		}
		place := l.places[i]
		if err := place.use(ctx, func(p *part) error {
			for _, n := range some {
				if int(n.row) >= p.rows {
					return errDamaged
				}
				d, err := p.detail(int(n.row))
				if err != nil {
					return err
				}
				t.at[n.at] = thumbAt{moment: momentOf{i, d.moment}, dir: place.dir, span: d.thumb}
			}
			return nil
		}); err != nil {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			l.lose(int(i), err)
			continue
		}
		if place.isJob {
			t.ofJob(place, some)
			continue
		}
		t.records[place.dir] = sync.OnceValue(func() *record.Record {
			r, err := record.Open(place.dir)
			if err != nil {
				return nil
			}
			return r
		})
	}
	return nil
}

// ofJob opens the cache of a job. Where it cannot be had there are no thumbnails.
func (t *thumbs) ofJob(place *place, list []near) {
	j, err := job.Open(place.dir, job.Options{ReadOnly: true, Command: "recall"})
	if err != nil {
		return
	}
	defer j.Close()
	var ids []cull.ID
	for _, n := range list {
		ids = append(ids, idOf(n.id))
	}
	frames, err := j.FramesOf(ids...)
	if err != nil {
		return
	}
	v := prepare.NewViewer(j)
	t.done = append(t.done, v.Close)
	for i, n := range list {
		if f, ok := frames[ids[i]]; ok {
			one := t.at[n.at]
			one.viewer, one.frame = v, f
			t.at[n.at] = one
		}
	}
}

func (t *thumbs) close() {
	for _, done := range t.done {
		done()
	}
}

// thumb is the upright thumbnail of a frame; nil where there is none.
func (t *thumbs) thumb(ctx context.Context, at at) *jpeg.Image {
	one := t.at[at]
	if one.viewer != nil {
		m, _ := one.viewer.Thumb(one.frame)
		return m
	}
	open := t.records[one.dir]
	if open == nil || one.span.Length <= 0 || one.span.Length > largestThumb {
		return nil
	}
	r := open()
	if r == nil {
		return nil
	}
	src, err := r.Thumb(one.span)
	if err != nil {
		return nil
	}
	m, err := jpeg.Decode(src, jpeg.Options{MaxPixels: mostThumbPixels, Luma: true, Stop: ctx.Done()})
	if err != nil || m.Truncated {
		return nil
	}
	return m
}
