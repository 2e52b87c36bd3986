package returned

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/preview/finished"
	"garner/preview/pix/overlay"
	"garner/preview/sched"
)

// The limits of a closer look (package overlay). Of 1,334 pictures of the bursts of a
// drawn wedding and 1,152 of 72 frames of two videos, edited in 16 ways (cropped to a
// half, straightened, corrected for a lens, in other tones, with noise, retouched, 300
// pixels small), the frame on which they fitted best was another in 27: in all of these
// what spoke against it was 0.17 of what spoke for it, or more. Within the limits were
// 1,769, and none of them wrong.
const (
	closeAgainst = 0.1  // of what speaks for a frame, what may speak against it
	closeFor     = 0.5  // that has to speak for it, in squares of 8 pixels that are all another
	closeApart   = 0.12 // of misfit may be left: up to 0.06 was, with strong noise 0.11, and 0.16 on other pictures
)

// closeMethod is the number of the way in which a closer look is taken.
const closeMethod = 1

// doubt is the pictures that may show the same frames.
type doubt struct {
	pictures []int
	frames   []cull.ID
}

// doubts are the pictures that a closer look should be taken at, those of the same
// frames together, so that a frame is decoded once.
func (out *Matched) doubts(x *index) (all []doubt, pictures int) {
	at := map[string]int{}
	for i := range out.Pictures {
		fs := x.closer(&out.Pictures[i], &out.Ties[i])
		if fs == nil {
			continue
		}
		pictures++
		key := fmt.Sprint(fs)
		if n, ok := at[key]; ok {
			all[n].pictures = append(all[n].pictures, i)
			continue
		}
		at[key] = len(all)
		all = append(all, doubt{[]int{i}, x.idsOf(fs)})
	}
	return all, pictures
}

// lookCloser compares pictures that nothing else tells with the frames that they may
// show, place by place.
func (out *Matched) lookCloser(ctx context.Context, j *job.Job, k *known, o Options) error {
	all, pictures := out.doubts(newIndex(k.frames))
	if len(all) == 0 {
		return nil
	}
	frames, err := j.Frames()
	if err != nil {
		return err
	}
	v := prepare.NewViewer(j)
	defer v.Close()
	s := sched.New[[]Close](ctx, sched.Options{Workers: o.Workers, MaxBytes: maxBytes, MaxQueue: len(all) + 1})
	defer s.Close()
	tickets := make([]*sched.Ticket[[]Close], len(all))
	for i, d := range all {
		load := int64(32<<20) + int64(len(d.frames))<<20
		for _, n := range d.pictures {
			load = max(load, loadOf(listed{path: out.Pictures[n].Path, size: out.Pictures[n].Size}))
		}
		tickets[i] = s.Submit(sched.Job[[]Close]{Key: fmt.Sprint(i), Class: sched.Background, Bytes: load,
			Run: func(ctx context.Context) ([]Close, error) { return out.look(ctx, j.Root(), v, frames, d) }})
	}
	digest, done := k.digest(), 0
	for i, t := range tickets {
		found, err := t.Result()
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			return err
		}
		news := map[string][]byte{}
		for n, p := range all[i].pictures {
			out.Pictures[p].Close = found[n]
			if b, ok := recorded(out.Pictures[p], digest); ok {
				news[out.Pictures[p].Path] = b
			}
			if done++; o.Progress != nil {
				o.Progress(out.Read+done, out.Read+pictures)
			}
		}
		if !o.ReadOnly {
			if err := j.KeepOfFinished(news); err != nil {
				return err
			}
		}
	}
	out.Closer = pictures
	return nil
}

// look takes a closer look at pictures. Where a picture or a frame cannot be read, it
// names none.
func (out *Matched) look(ctx context.Context, root string, v *prepare.Viewer, frames map[cull.ID]cull.Frame, d doubt) ([]Close, error) {
	found := make([]Close, len(d.pictures))
	whole := true
	under := make([]overlay.Picture, len(d.frames))
	for i, id := range d.frames {
		pic, err := v.Picture(ctx, frames[id], overlay.FrameEdge)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			whole = false
			break
		}
		under[i] = overlay.NewFrame(pic.Image)
	}
	for n, p := range d.pictures {
		found[n] = Close{Method: closeMethod, Among: d.frames}
		if !whole {
			continue
		}
		top, err := out.overlaid(ctx, root, &out.Pictures[p])
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err == nil {
			found[n] = judged(d.frames, under, top)
		}
	}
	return found, nil
}

// overlaid opens a picture again, to be laid on frames.
func (out *Matched) overlaid(ctx context.Context, root string, p *Picture) (overlay.Picture, error) {
	file, err := os.Open(filepath.Join(root, filepath.FromSlash(p.Path)))
	if err != nil {
		return overlay.Picture{}, err
	}
	defer file.Close()
	opened, err := finished.Open(file, p.Size)
	if err != nil {
		return overlay.Picture{}, err
	}
	m, err := small(ctx, file, p.Size, opened)
	if err != nil {
		return overlay.Picture{}, err
	}
	return overlay.New(m), nil
}

// judged lays a picture on frames and names the one that it shows, if what differs
// between them leaves no doubt.
func judged(ids []cull.ID, frames []overlay.Picture, p overlay.Picture) Close {
	type fit struct {
		id     cull.ID
		misfit overlay.Misfit
		mean   float64
	}
	fits := make([]fit, len(ids))
	for i, f := range frames {
		m := p.On(f)
		fits[i] = fit{ids[i], m, m.Mean()}
	}
	slices.SortStableFunc(fits, func(a, b fit) int { return cmp.Or(cmp.Compare(a.mean, b.mean), cmp.Compare(a.id, b.id)) })
	c := Close{Method: closeMethod, Shows: fits[0].id}
	for i, f := range fits {
		c.Among = append(c.Among, f.id)
		if i > 0 {
			better, worse := fits[0].misfit.Against(f.misfit)
			if better-worse < closeFor || worse > closeAgainst*better {
				c.Shows = ""
			}
		}
	}
	if fits[0].mean > closeApart {
		c.Shows = ""
	}
	return c
}
