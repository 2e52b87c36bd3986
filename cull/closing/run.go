package closing

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/store"
	"garner/store/catalog"
	"garner/store/copy"
	"garner/store/vfs"
)

// Run archives a job. Files and folders that fail are in the Summary; the error is for
// what ends the work. When ctx ends, what is in the bags stays, and the next run goes on.
func Run(ctx context.Context, j *job.Job, o Options) (Summary, error) {
	return run(ctx, j, o, vfs.OS{})
}

func run(ctx context.Context, j *job.Job, o Options, fsys vfs.FS) (Summary, error) {
	o = o.withDefaults()
	r := &runner{o: o, job: j, fsys: fsys, began: o.Now()}
	r.sum.Files, r.sum.Bytes = map[Action]int{}, map[Action]int64{}
	err := r.all(ctx)
	r.release()
	r.conclude()
	return r.sum, err
}

// runner is one Run on its way.
type runner struct {
	o     Options
	job   *job.Job
	fsys  vfs.FS
	began time.Time
	sum   Summary

	places []*place
	whole  job.Whole
	folder folder
	prior  map[string]record.File // what the newest record in any of the bags says
	runs   int                    // number of the newest record that any bag lists something of
	plan   *planner
	items  []*item
	smalls map[cull.ID]*record.Small // what the last record says of frames
	sizes  map[string][2]int         // of small pictures that were made, by path in the bag
	far    Progress                  // of copying
}

func (r *runner) all(ctx context.Context) error {
	if !r.o.DryRun {
		unlock, err := lock(filepath.Join(r.job.StateDir(), "archive.lock"))
		if err != nil {
			return err
		}
		defer unlock()
		if err := r.prepare(ctx); err != nil {
			return err
		}
	}
	if err := r.settle(); err != nil {
		return err
	}
	if err := r.look(ctx); err != nil {
		return err
	}
	if r.o.DryRun {
		return r.rehearse()
	}
	if err := r.fill(ctx); err != nil {
		return err
	}
	r.tell()
	if err := r.write(ctx); err != nil {
		return err
	}
	if err := r.readBack(ctx); err != nil {
		return err
	}
	return r.keep(ctx)
}

// lock keeps a second program from archiving the same job until the first ends.
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

// prepare takes in what is new in the folder, so that the record knows it. A job on a
// full disk is archived as it is known: that is what makes room.
func (r *runner) prepare(ctx context.Context) error {
	_, err := prepare.Run(ctx, r.job, prepare.Options{Workers: r.o.Workers, Now: r.o.Now, Progress: func(p prepare.Progress) {
		r.o.Progress(Progress{Stage: Preparing, Done: p.Done, Total: p.Total})
	}})
	if err != nil && store.Class(err) == store.NoSpace {
		r.remark("the job's disk is full: what is new in the job is archived as files alone")
		return nil
	}
	return err
}

// look takes in all that the work depends on, and decides where every file goes.
func (r *runner) look(ctx context.Context) (err error) {
	if err := r.readRecords(); err != nil {
		return err
	}
	if !r.o.DryRun {
		r.note()
	}
	if r.whole, err = r.job.Whole(); err != nil {
		return err
	}
	if r.folder, err = walk(ctx, r.job.Root(), r.job.StateDir(), r.o.Sets); err != nil {
		return err
	}
	r.sum.Left, r.sum.Sets = r.folder.left, len(r.folder.sets)
	manifest, err := r.job.Manifest()
	if err != nil {
		return err
	}
	var bags []listing
	var paths [][]string
	for _, p := range r.places {
		if p.alive() {
			bags = append(bags, p)
			if p.had = p.bag != nil; p.had {
				paths = append(paths, p.bag.Files())
			}
		}
	}
	r.plan = newPlanner(bags, paths, r.prior, manifest, r.runs+1)
	r.items = append(r.plan.items(r.folder.files, r.whole), r.outside()...)
	if err := r.doubt(ctx); err != nil {
		return err
	}
	if err := r.sums(ctx); err != nil {
		return err
	}
	for _, dropped := range []bool{true, false} { // small pictures have their places before what is a file already
		for _, x := range r.items {
			if x.why == "" && x.drop == dropped {
				r.plan.place(x)
			}
		}
	}
	freed, err := r.job.Freed()
	if err != nil {
		return err
	}
	r.items = append(r.items, r.plan.retired(freed, r.items)...)
	for _, x := range r.items {
		x.lacked = x.bag != "" && r.lacking(x.bag)
	}
	return nil
}

// note keeps in the job where its bags lie, before the first byte is written there. A
// job on a full disk is archived all the same.
func (r *runner) note() {
	var dirs []string
	for _, p := range r.places {
		if p.alive() {
			dirs = append(dirs, p.Dir)
		}
	}
	if err := r.job.NoteBags(dirs...); err != nil {
		r.remark("the job could not note where its bags are: %s", store.Reason(err))
	}
}

// readRecords finds what earlier runs said. A place whose record cannot be read is worked
// on no more, and another one's counts.
func (r *runner) readRecords() error {
	r.prior, r.smalls = map[string]record.File{}, map[cull.ID]*record.Small{}
	for _, p := range r.places {
		if p.bag != nil {
			for _, path := range p.bag.Files() {
				r.runs = max(r.runs, runOf(path))
			}
		}
	}
	for {
		p := r.newest()
		if p == nil {
			break
		}
		if p.Err = r.readRecord(p.record); p.alive() {
			return nil
		}
	}
	if !slices.ContainsFunc(r.places, (*place).alive) {
		return r.placeErrors()
	}
	return nil
}

// newest is the place with the newest record; nil = none has one.
func (r *runner) newest() (at *place) {
	for _, p := range r.places {
		if p.alive() && p.record != nil && (at == nil || p.record.Job.Run > at.record.Job.Run) {
			at = p
		}
	}
	return at
}

func (r *runner) readRecord(from *record.Record) error {
	prior, smalls := map[string]record.File{}, map[cull.ID]*record.Small{}
	for f, err := range from.Files() {
		if err != nil {
			return err
		}
		path, err := f.JobPath()
		if err != nil {
			return err
		}
		prior[path] = f
	}
	for f, err := range from.Frames() {
		if err != nil {
			return err
		}
		if f.Small != nil {
			smalls[f.ID] = f.Small
		}
	}
	r.prior, r.smalls = prior, smalls
	return nil
}

// runOf is the number of the record that a path of a bag is of; 0 = of none.
func runOf(path string) (n int) {
	if _, err := fmt.Sscanf(path, record.Folder+"/%04d/", &n); err != nil {
		return 0
	}
	return n
}

// doubt looks at how every file begins, and believes what was proven of those that nobody
// touched since. Of those that may have become others under their old size and time, or that
// a bag has and no record tells of, nothing is believed: they are read again.
func (r *runner) doubt(ctx context.Context) error {
	last, _, err := r.job.Archived()
	if err != nil {
		return err
	}
	for _, x := range r.items {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if x.head, err = headOf(r.from(x)); err != nil {
			x.head = ""
		}
		_, told := r.prior[x.path]
		switch was, proven := provenOf(last, x); {
		case proven:
			x.sum = &was
		case r.o.DryRun: // it is likely to be what it was
		case told, !x.drop && r.plan.listed(r.plan.jobPath(x)):
			x.sum = nil
		}
	}
	return nil
}

// provenOf is the sum that a file had when its copies were read back, if nothing tells it
// from what it was then.
func provenOf(last job.Archived, x *item) (sum, bool) {
	was, ok := last.Files[x.path]
	if !ok || x.head == "" || was.Head != x.head || was.Size != x.size || was.Mod != x.mod.UnixNano() || was.Touched != x.touched {
		return sum{}, false
	}
	s, err := store.ParseHex(was.Sum)
	return s, err == nil
}

// sums reads the files whose place depends on what is in them.
func (r *runner) sums(ctx context.Context) error {
	unsure := slices.DeleteFunc(slices.Clone(r.items), func(x *item) bool { return !r.plan.unsure(x) })
	if r.o.DryRun {
		return nil
	}
	far := Progress{Stage: Looking, Total: len(unsure)}
	for _, x := range unsure {
		far.All += x.size
	}
	for _, x := range unsure {
		r.o.Progress(far)
		c, err := copy.ReadBack(ctx, r.fsys, r.from(x))
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			r.failed(x, err)
		default:
			x.sum = &c.Sum
		}
		far.Done++
		far.Bytes += x.size
	}
	return nil
}

func (r *runner) source(path string) string {
	return filepath.Join(r.job.Root(), filepath.FromSlash(path))
}

// failed notes that a file of the job cannot be archived.
func (r *runner) failed(x *item, err error) {
	x.bag, x.small, x.why = "", "", "it could not be read: "+store.Reason(err)
}
