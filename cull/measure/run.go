package measure

import (
	"context"
	"sync/atomic"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/people"
	"garner/cull/prepare"
	"garner/preview/sched"
)

// maxBytes is what all running measurements may hold of pictures together.
const maxBytes = 256 << 20

// Run measures what is missing. When ctx ends it saves what is done and returns the
// Summary of that with the error of ctx. Frames that cannot be measured are no error.
func Run(ctx context.Context, j *job.Job, o Options) (Summary, error) {
	viewer := prepare.NewViewer(j)
	defer viewer.Close()
	return runWith(ctx, j, o, newEye(viewer, o.withDefaults().Workers))
}

// runWith is Run with another eye.
func runWith(ctx context.Context, j *job.Job, o Options, e eye) (Summary, error) {
	o = o.withDefaults()
	r := &run{o: o, j: j, eye: e, did: map[cull.ID]wanted{}}
	began := o.Now()
	err := r.all(ctx)
	r.sum.Took = o.Now().Sub(began)
	r.sum.PerSecond = r.rate()
	return r.sum, err
}

// eye measures one frame. Its methods are called by several goroutines.
type eye interface {
	load(f cull.Frame) int64 // about what measure holds in memory, in bytes
	// measure does what is wanted of f. It calls pause where it can wait.
	measure(ctx context.Context, f cull.Frame, w wanted, pause func(context.Context) error) (found, error)
}

// run is one Run on its way.
type run struct {
	o      Options
	j      *job.Job
	eye    eye
	store  peopleStore
	did    map[cull.ID]wanted // by this Run, which does nothing twice
	sum    Summary
	total  int
	done   int // of them
	worked time.Duration

	// What the job allows, unless it turned out not to work.
	faces, people     atomic.Bool
	noFaces, noPeople bool
	waiting           atomic.Int32 // workers that wait for somebody
}

func (r *run) all(ctx context.Context) error {
	defer r.closeStore()
	if err := r.consent(); err != nil {
		return err
	}
	for round := 0; ; round++ {
		p, err := r.plan()
		if err != nil {
			return err
		}
		if r.total, r.done = p.total, p.total-len(p.todo); round == 0 {
			r.sum.Frames, r.sum.Known = r.total, r.done
		}
		r.sum.Frames = r.total
		r.progress(false)
		if len(p.todo) == 0 {
			return ctx.Err()
		}
		if err := r.measure(ctx, p); err != nil {
			return err
		}
	}
}

// consent reads what may be looked for now.
func (r *run) consent() error {
	faces, err := r.j.Faces()
	if err != nil {
		return err
	}
	ppl, err := r.j.People()
	if err != nil {
		return err
	}
	r.faces.Store(faces.Yes && !r.noFaces)
	if !faces.Yes || !ppl.Yes { // what was done is forgotten
		for id, w := range r.did {
			w.faces, w.people = w.faces && faces.Yes, false
			r.did[id] = w
		}
	}
	yes := r.faces.Load() && ppl.Yes && !r.noPeople
	if yes && r.store == nil {
		r.store = people.Open(r.j)
	}
	r.people.Store(yes)
	return nil
}

func (r *run) closeStore() {
	if r.store != nil {
		_ = r.store.Close() // it journals a number
	}
}

// withoutPeople goes on without templates.
func (r *run) withoutPeople(err error) {
	r.noPeople = true
	r.people.Store(false)
	r.warn("templates of faces cannot be kept: " + err.Error())
}

func (r *run) withoutFaces(err error) {
	if r.noFaces {
		return
	}
	r.noFaces = true
	r.faces.Store(false)
	r.people.Store(false)
	r.warn("faces cannot be looked for: " + err.Error())
}

func (r *run) warn(text string) {
	r.sum.Warnings = append(r.sum.Warnings, text)
	if r.o.Warn != nil {
		r.o.Warn(text)
	}
}

// pending is one frame under way.
type pending struct {
	frame  cull.Frame
	ticket *sched.Ticket[found]
}

// measure does one round. It ends early, without an error, where the job allows more
// than it did when the round was planned.
func (r *run) measure(ctx context.Context, p plan) error {
	s := sched.New[found](ctx, sched.Options{Workers: r.o.Workers, MaxBytes: maxBytes, MaxQueue: len(p.todo) + 1})
	defer s.Close()
	b := &batch{run: r, saved: r.o.Now(), faces: r.faces.Load(), people: r.people.Load()}
	tick := time.NewTicker(batchAge)
	defer tick.Stop()
	turns := prepare.NewTurns(p.todo, r.o.Urgent)
	var queue []pending
	for len(queue) > 0 || turns.Left() > 0 {
		// One more than workers, so that none waits; no more, so that what is urgent
		// does not wait behind them.
		for turns.Left() > 0 && len(queue) <= r.o.Workers {
			f := p.todo[turns.Next()]
			queue = append(queue, pending{f, s.Submit(sched.Job[found]{Key: string(f.ID), Class: sched.Background, Bytes: r.eye.load(f),
				Run: func(ctx context.Context) (found, error) { return r.one(ctx, f, p.want[f.ID]) }})})
		}
		next := queue[0]
		select {
		case <-next.ticket.Done():
		case <-tick.C:
			// Whoever waits keeps what there is safe.
			if err := b.flush(); err != nil {
				return err
			}
			r.progress(r.waiting.Load() > 0)
			continue
		}
		queue = queue[1:]
		got, err := next.ticket.Result()
		if ctx.Err() != nil {
			break
		}
		if err != nil { // a fault in the work on one frame is that frame's
			got = found{err: err}
		}
		if err := b.add(next.frame.ID, p.want[next.frame.ID], got); err != nil {
			return err
		}
		if b.more { // the job says yes to more than was planned
			break
		}
	}
	s.Close() // what is under way is given up
	if err := b.flush(); err != nil {
		return err
	}
	return ctx.Err()
}

// one measures a frame, on a worker.
func (r *run) one(ctx context.Context, f cull.Frame, w wanted) (found, error) {
	if err := r.pause(ctx); err != nil {
		return found{}, err
	}
	w.faces, w.people = w.faces && r.faces.Load(), w.people && r.people.Load()
	began, waited := r.o.Now(), time.Duration(0)
	pause := func(ctx context.Context) error {
		from := r.o.Now()
		err := r.pause(ctx)
		waited += r.o.Now().Sub(from)
		return err
	}
	got, err := r.eye.measure(resting{ctx, pause}, f, w, pause)
	got.did = w
	got.took = r.o.Now().Sub(began) - waited
	return got, err
}

// resting is a context that makes whoever asks whether it has ended wait as long as
// somebody works: so one rests between the steps of what takes long, such as the parts
// of a picture in which faces are looked for.
type resting struct {
	context.Context
	pause func(context.Context) error
}

// Err is as that of the context underneath, after the rest.
func (r resting) Err() error {
	_ = r.pause(r.Context) // it says the same
	return r.Context.Err()
}

// patience is how long to wait before asking again whether somebody works.
const patience = 50 * time.Millisecond

// pause waits as long as somebody works.
func (r *run) pause(ctx context.Context) error {
	if err := ctx.Err(); err != nil || !r.o.Busy() {
		return err
	}
	r.waiting.Add(1)
	defer r.waiting.Add(-1)
	t := time.NewTicker(patience)
	defer t.Stop()
	for r.o.Busy() {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-t.C:
		}
	}
	return ctx.Err()
}

// rate is frames a second, without waiting.
func (r *run) rate() float64 {
	n := r.sum.Measured + r.sum.Failed
	if r.worked <= 0 || n == 0 {
		return 0
	}
	return float64(n) / r.worked.Seconds() * float64(r.o.Workers)
}

func (r *run) progress(waiting bool) {
	p := Progress{Done: r.done, Total: r.total, Failed: r.sum.Failed, Faces: r.faces.Load(), People: r.people.Load(), Waiting: waiting, PerSecond: r.rate()}
	if p.PerSecond > 0 {
		p.Left = time.Duration(float64(p.Total-p.Done) / p.PerSecond * float64(time.Second))
	}
	r.o.Progress(p)
}
