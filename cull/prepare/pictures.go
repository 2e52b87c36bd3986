package prepare

import (
	"context"
	"slices"
	"time"

	"garner/cull"
	"garner/preview/pix"
	"garner/preview/sched"
)

const (
	// A batch of frames is saved when it has this many or is this old, whichever
	// comes first: what an interruption can cost, against a sync of the disk each.
	batchFrames = 200
	batchAge    = 2 * time.Second

	// orderAge is how old the order gets before it is made anew between batches.
	orderAge = 2 * time.Second

	// maxBytes is what all running decodes may hold together: three of 24 MP and
	// a 45 MP one beside them.
	maxBytes = 256 << 20
)

// pictures makes what is missing of every frame's pictures, in the order of
// names with urgent frames first, and saves and reports it in that order.
func (r *run) pictures(ctx context.Context) error {
	s := sched.New[painted](ctx, sched.Options{Workers: r.o.Workers, MaxBytes: maxBytes, MaxQueue: len(r.frames) + 1})
	defer s.Close()
	looks, err := r.j.Looks()
	if err != nil {
		return err
	}
	r.looks = looks
	b := &batch{run: r, looks: map[cull.ID]cull.Look{}, began: r.o.Now(), saved: r.o.Now(), ordered: r.o.Now(), total: len(r.frames)}
	p := &painter{root: r.j.Root(), cache: r.cache}

	// A few frames more than workers are under way, so that none waits and
	// nothing piles up behind a slow one.
	type pending struct {
		index  int
		ticket *sched.Ticket[painted] // nil: everything is there
	}
	var queue []pending
	turns := NewTurns(r.frames, r.o.Urgent)
	for len(queue) > 0 || turns.Left() > 0 {
		for turns.Left() > 0 && len(queue) < 4*r.o.Workers {
			w := pending{index: turns.Next()}
			f := r.frames[w.index]
			if !r.complete(f) {
				look := r.looks[f.ID]
				w.ticket = s.Submit(sched.Job[painted]{Key: string(f.ID), Class: sched.Background, Bytes: load(f),
					Run: func(ctx context.Context) (painted, error) {
						done, err := p.paint(ctx, f)
						if f.Freed() && f.HasFingerprint && look.Method == pix.LookMethod && done.err == nil {
							done.asBefore(f, look)
						}
						return done, err
					}})
			}
			queue = append(queue, w)
		}
		w := queue[0]
		queue = queue[1:]
		if w.ticket == nil {
			b.cached(w.index)
			continue
		}
		done, err := w.ticket.Result()
		if ctx.Err() != nil {
			break
		}
		if err != nil { // a fault in the work on one frame is that frame's
			done = painted{frame: r.frames[w.index], err: err}
		}
		if done.cacheErr != nil && !p.without.Swap(true) {
			r.cacheFailed(done.cacheErr)
		}
		if err := b.add(w.index, done); err != nil {
			return err
		}
	}
	if err := b.flush(); err != nil {
		return err
	}
	if spent := r.o.Now().Sub(b.began).Seconds(); spent > 0 {
		r.sum.PerSecond = float64(b.made) / spent
	}
	return ctx.Err()
}

// complete reports whether nothing of a frame is missing.
func (r *run) complete(f cull.Frame) bool {
	key, ok := ThumbKey(f)
	if !ok || !f.HasFingerprint || r.looks[f.ID].Method != pix.LookMethod || !r.cache.HasThumb(key) {
		return false
	}
	key, ok = RenditionKey(f)
	return !ok || r.cache.HasRendition(key)
}

// asBefore keeps what was known of the picture of a frame when its original was there:
// it shows the same, and what was grouped by it stays together.
func (p *painted) asBefore(f cull.Frame, look cull.Look) {
	p.frame.Fingerprint, p.frame.HasFingerprint, p.frame.Luma, p.look = f.Fingerprint, true, f.Luma, look
}

// batch collects the frames that are done until they are saved.
type batch struct {
	run     *run
	waiting []cull.Frame // to be saved
	looks   map[cull.ID]cull.Look
	told    []cull.Frame // worked on since the last save, changed or not
	began   time.Time
	saved   time.Time
	ordered time.Time
	done    int // cached and made
	made    int
	total   int
}

// cached reports a frame of which nothing was missing.
func (b *batch) cached(index int) {
	f := b.run.frames[index]
	b.run.sum.Cached++
	b.done++
	b.run.o.Frame(FrameReport{Frame: f, Letter: b.run.letters[f.Body], Cached: true})
	b.progress()
}

// add takes in a frame that was worked on.
func (b *batch) add(index int, p painted) error {
	r := b.run
	if !samePicture(r.frames[index], p.frame) {
		b.waiting = append(b.waiting, p.frame)
	}
	if id := p.frame.ID; r.looks[id] != p.look {
		r.looks[id], b.looks[id] = p.look, p.look
	}
	r.frames[index] = p.frame
	b.told = append(b.told, p.frame)
	b.done++
	b.made++
	if p.err != nil {
		r.sum.Failed++
	} else {
		r.sum.Made++
	}
	if p.rendition {
		r.sum.Renditions++
	}
	r.o.Frame(FrameReport{Frame: p.frame, Letter: r.letters[p.frame.Body], Err: p.err})
	b.progress()
	if max(len(b.waiting), len(b.looks)) >= batchFrames || r.o.Now().Sub(b.saved) >= batchAge {
		return b.flush()
	}
	return nil
}

// samePicture reports whether the work on a frame gave what was known already,
// so that it need not be saved.
func samePicture(a, b cull.Frame) bool {
	return a.HasFingerprint == b.HasFingerprint && a.Fingerprint == b.Fingerprint && a.Luma == b.Luma && slices.Equal(a.Problems, b.Problems)
}

func (b *batch) flush() error {
	r := b.run
	waiting, looks, told := b.waiting, b.looks, b.told
	b.waiting, b.looks, b.told, b.saved = nil, map[cull.ID]cull.Look{}, nil, r.o.Now()
	if len(waiting)+len(looks) > 0 {
		if err := r.j.SavePictures(waiting, looks); err != nil {
			return err
		}
	}
	if len(told) == 0 || !r.watched {
		return nil
	}
	// Somebody looks on: what belongs together shows while pictures are made.
	layout := false
	if b.saved.Sub(b.ordered) >= orderAge {
		var err error
		if layout, err = regroup(r.j, r.frames); err != nil {
			return err
		}
		b.ordered = b.saved
	}
	r.o.Saved(Saved{Frames: told, Layout: layout})
	return nil
}

func (b *batch) progress() {
	p := Progress{Stage: Pictures, Done: b.done, Total: b.total}
	if spent := b.run.o.Now().Sub(b.began).Seconds(); spent > 0 && b.made > 0 {
		p.PerSecond = float64(b.made) / spent
		p.Left = time.Duration(float64(b.total-b.done) / p.PerSecond * float64(time.Second))
	}
	b.run.o.Progress(p)
}
