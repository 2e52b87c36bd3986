package output

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync/atomic"
	"time"

	"garner/cull/job"
	"garner/preview/render"
	"garner/preview/resample"
	"garner/preview/sched"
	"garner/store"
	"garner/store/catalog"
	"garner/store/vfs"
)

// ErrBusy is returned where another program cuts the sets of the job.
var ErrBusy = errors.New("the sets of this job are being cut by another program")

// Run cuts what has to be cut. Pictures and files that cannot be made are lines, not
// errors. When ctx ends, the files that are there are kept and the Summary comes with
// the error of ctx.
func Run(ctx context.Context, j *job.Job, o Options) (Summary, error) {
	return run(ctx, j, o, vfs.OS{})
}

func run(ctx context.Context, j *job.Job, o Options, fsys vfs.FS) (Summary, error) {
	o = o.withDefaults()
	r := &runner{o: o, root: j.Root(), fsys: fsys, began: o.Now()}
	r.sum.Files = map[Action]int{}
	r.renderer.Decoded = func() { r.decodes.Add(1) }
	if !o.DryRun {
		unlock, err := lock(filepath.Join(j.StateDir(), "render.lock"))
		if err != nil {
			return r.sum, err
		}
		defer unlock()
	}
	if err := r.prepare(ctx, j); err != nil {
		return r.sum, err
	}
	if o.DryRun {
		r.rehearse()
		err := r.pages(ctx)
		return r.summary(), err
	}
	err := r.cutAll(ctx)
	if err == nil {
		err = r.pages(ctx)
	}
	return r.summary(), err
}

// lock keeps a second program from the same sets until the first ends.
func lock(path string) (unlock func(), err error) {
	l, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, store.Wrap("lock", path, err)
	}
	if err := catalog.TryLock(l, true); err != nil {
		l.Close()
		if errors.Is(err, catalog.ErrLocked) {
			return nil, ErrBusy
		}
		return nil, store.Wrap("lock", path, err)
	}
	return func() { l.Close() }, nil
}

// runner is one Run on its way.
type runner struct {
	o        Options
	root     string
	fsys     vfs.FS
	ledger   *ledger
	seen     *ledger
	plan     plan
	renderer render.Renderer
	decodes  atomic.Int64
	sum      Summary
	began    time.Time
	cutting  time.Time // when the first picture was begun
	done     int
}

func (r *runner) prepare(ctx context.Context, j *job.Job) error {
	pl := planner{o: r.o, root: r.root, ties: r.o.Ties, renderer: &r.renderer}
	pl.every = Sets(j.Settings())
	if pl.sets = r.o.Sets; pl.sets == nil {
		pl.sets, _ = Choose(pl.every, nil)
	}
	var err error
	pl.every, pl.proofs, pl.sets = parts(pl.every), proofsOf(pl.sets), parts(pl.sets)
	if err := pl.readStamp(j.Settings().Stamp); err != nil {
		return err
	}
	if pl.texts, err = textsOf(j); err != nil {
		return err
	}
	if pl.ties == nil {
		if pl.ties, err = bodyTies(j); err != nil {
			return err
		}
	}
	if info, err := r.fsys.Stat(filepath.Join(r.root, SetsFolder)); err == nil && !info.IsDir() {
		return &FolderError{true, errInTheWay}
	}
	if pl.ledger, err = openLedger(ledgerPath(r.root)); err != nil {
		return err
	}
	pl.ledger.respell(pl.every)
	pl.seen = openSeen(filepath.Join(j.StateDir(), seenName))
	if err := pl.run(ctx); err != nil {
		return err
	}
	r.ledger, r.seen, r.plan = pl.ledger, pl.seen, pl.plan
	r.sum.Pictures, r.sum.Others, r.sum.ReadBack = pl.all, pl.others, pl.readBack
	for _, l := range r.plan.lines {
		r.line(l)
	}
	return nil
}

func (r *runner) line(l Line) {
	r.plan.proofs.see(l)
	l = l.inSet()
	if l.File == "" {
		r.sum.Cannot++
	} else {
		r.sum.Files[l.Action]++
	}
	switch l.Action {
	case Written:
		r.sum.Bytes += l.Bytes
	case Kept:
		r.sum.Kept = append(r.sum.Kept, l.Set+"/"+l.File)
	}
	r.o.Line(l)
}

// rehearse says what would be cut.
func (r *runner) rehearse() {
	for _, p := range r.plan.pictures {
		for _, w := range p.wanted {
			r.line(Line{Set: w.set.Name, Picture: p.path, File: w.file, Number: p.number, Action: Wanted, Remarks: w.remarks()})
		}
	}
}

func (r *runner) summary() Summary {
	r.sum.Decodes = int(r.decodes.Load())
	r.sum.Took = r.o.Now().Sub(r.began)
	r.sum.PerSecond = r.rate()
	return r.sum
}

func (r *runner) rate() float64 {
	if r.done == 0 || r.cutting.IsZero() {
		return 0
	}
	if t := r.o.Now().Sub(r.cutting).Seconds(); t > 0 {
		return float64(r.done) / t
	}
	return 0
}

// folders makes the folders of the sets, sweeps what killed programs left there, and
// notes names and numbers before the first file has them. A set whose folder cannot be
// written is left out.
func (r *runner) folders() error {
	base := filepath.Join(r.root, SetsFolder)
	err := vfs.MkdirAll(r.fsys, base, 0o777)
	if err == nil {
		_, err = vfs.Sweep(r.fsys, base)
	}
	if err == nil {
		err = r.ledger.save(r.fsys)
	}
	if err != nil {
		return &FolderError{true, err}
	}
	wanted := map[string]bool{}
	for _, p := range r.plan.pictures {
		for _, w := range p.wanted {
			wanted[w.set.Name] = true
		}
	}
	causes := map[string]error{}
	for _, s := range r.plan.sets {
		if !wanted[s.Name] {
			continue
		}
		err := ready(r.fsys, filepath.Join(base, s.Name))
		if store.Class(err) == store.NoSpace {
			return err
		}
		if err != nil {
			causes[s.Name] = &FolderError{Err: err}
		}
	}
	r.leaveOut(causes)
	return nil
}

// ready makes the folder of a set, and sees that it is one in which files can be made.
func ready(fsys vfs.FS, dir string) error {
	if info, err := fsys.Stat(dir); err == nil && !info.IsDir() {
		return errInTheWay
	}
	if err := vfs.MkdirAll(fsys, dir, 0o777); err != nil {
		return err
	}
	if _, err := vfs.Sweep(fsys, dir); err != nil {
		return err
	}
	return writable(fsys, dir)
}

// writable makes a file and takes it away again.
func writable(fsys vfs.FS, dir string) error {
	f, err := vfs.CreatePartial(fsys, filepath.Join(dir, "x"), 0o666)
	if err != nil {
		return err
	}
	f.Close()
	return fsys.Remove(f.Name())
}

// pending is one picture under way.
type pending struct {
	p      *picture
	ticket *sched.Ticket[[]outcome]
}

func (r *runner) cutAll(ctx context.Context) error {
	if err := full(r.folders()); errors.Is(err, ErrFull) {
		return r.giveUp(nil, r.plan.pictures)
	} else if err != nil {
		return err
	}
	total := len(r.plan.pictures)
	s := sched.New[[]outcome](ctx, sched.Options{Workers: r.o.Workers, MaxBytes: r.o.MaxBytes, MaxQueue: r.o.Workers + 2})
	defer s.Close()
	defer r.frugal()()
	r.cutting = r.o.Now()
	var queue []pending
	var stop error
	next := 0
	for stop == nil && (len(queue) > 0 || next < total) {
		for next < total && len(queue) <= r.o.Workers {
			p := r.plan.pictures[next]
			queue = append(queue, pending{p, s.Submit(sched.Job[[]outcome]{Key: p.path, Class: sched.Background, Bytes: p.load,
				Run: func(ctx context.Context) ([]outcome, error) { return r.cut(ctx, p) }})})
			next++
		}
		r.progress(total)
		first := queue[0]
		queue = queue[1:]
		made, err := first.ticket.Result()
		if stop = ctx.Err(); stop != nil && err != nil {
			break
		}
		stop = errors.Join(stop, r.note(first.p, made, err))
		r.done++
	}
	if errors.Is(stop, ErrFull) && ctx.Err() == nil {
		stop = r.giveUp(queue, r.plan.pictures[next:])
	}
	s.Close() // what is under way is given up
	// What workers finished after that is read back by the next run.
	r.progress(total)
	_ = r.seen.save(r.fsys) // without it, the next run has to read more
	// Names in another order are no failure more where there is no room.
	if err := full(r.ledger.save(r.fsys)); stop == nil && (r.sum.Failures() == 0 || !errors.Is(err, ErrFull)) {
		stop = err
	}
	return stop
}

// frugal has the collector work before pictures that are done with take as much memory
// as those under way: planes are few and large, and it would wait for twice as many.
// Whoever has set a limit keeps it. What it returns ends that.
func (r *runner) frugal() func() {
	var most int64
	for _, p := range r.plan.pictures {
		most = max(most, p.load)
	}
	const spare = 64 << 20 // programs take some, and some is always garbage
	before := debug.SetMemoryLimit(-1)
	if most == 0 || before != math.MaxInt64 {
		return func() {}
	}
	debug.SetMemoryLimit(spare + min(most*int64(r.o.Workers), max(most, r.o.MaxBytes))*5/4)
	return func() { debug.SetMemoryLimit(before) }
}

// note says and keeps what became of a picture. The error ends the run.
func (r *runner) note(p *picture, made []outcome, err error) error {
	if err != nil {
		r.line(failed(p.path, err))
		return nil
	}
	var stop error
	for _, m := range made {
		l := Line{Set: m.set.Name, Picture: p.path, File: m.file, Number: p.number, Action: Written, Remarks: m.remarks,
			Width: m.width, Height: m.height, Bytes: m.record.Bytes, Quality: m.quality}
		var shape *resample.ShapeError
		switch err := full(m.err); {
		case errors.Is(err, ErrFull):
			l, stop = hindered(m.set.Name, p, m.file, err), err
		case err != nil:
			l.Action, l.Reason, l.Bytes = Failed, why(err), 0
			if errors.As(err, &shape) {
				l.Cause = &FormError{m.set.Name, m.set.Size.W, m.set.Size.H}
			}
		default:
			// Where it cannot be noted, the next run reads it back from the file.
			stop = errors.Join(stop, full(r.ledger.add(r.fsys, m.record)))
			r.seen.set(m.seen)
		}
		r.line(l)
	}
	return stop
}

func (r *runner) progress(total int) {
	p := Progress{Done: r.done, Total: total, Failed: r.sum.Failures(), PerSecond: r.rate()}
	if p.PerSecond > 0 {
		p.Left = time.Duration(float64(p.Total-p.Done) / p.PerSecond * float64(time.Second))
	}
	r.o.Progress(p)
}
