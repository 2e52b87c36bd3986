package reopen

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/store"
	"garner/store/archive"
	"garner/store/atomicfile"
	"garner/store/copy"
	"garner/store/vfs"
)

// Run makes a job in dir from a bag. Files that cannot be had are in the Summary; the
// error is for what ends the work. When ctx ends, the next run goes on.
func Run(ctx context.Context, bag, dir string, o Options) (Summary, error) {
	r := &runner{ctx: ctx, o: o.withDefaults(), folders: map[string]bool{}, lost: map[string]bool{}, pictured: map[string]bool{}}
	r.sum.Bypassed = true
	err := r.all(bag, dir)
	return r.sum, err
}

// runner is one Run on its way.
type runner struct {
	ctx context.Context
	o   Options
	sum Summary

	root, state string
	bag         *archive.Bag
	rec         *record.Record
	marker      string
	folders     map[string]bool // of the bag that are none but folders
	moves       []move
	lost        map[string]bool // paths in the job of what could not be had
	pictured    map[string]bool // paths in the job of pictures and voice notes of frames
	job         *job.Job
}

func (r *runner) failed(path, what string) {
	f := Fault{path, what}
	r.sum.Failed = append(r.sum.Failed, f)
	r.o.Failed(f)
}

func (r *runner) all(bag, dir string) (err error) {
	if bag, err = filepath.Abs(bag); err != nil {
		return err
	}
	if r.root, err = filepath.Abs(dir); err != nil {
		return err
	}
	r.state = filepath.Join(r.root, stateFolder)
	if r.o.State != "" {
		if r.state, err = filepath.Abs(r.o.State); err != nil {
			return err
		}
	}
	var odd []archive.Finding
	if r.bag, odd, err = archive.Salvage(r.o.fsys, bag); err != nil {
		return &UnreadError{err}
	}
	for _, x := range odd {
		r.o.Remark("the bag is not valid: " + x.String() + "; no file hangs on that, and each is held against its sum")
	}
	if r.rec, err = record.Open(bag); err != nil {
		return err
	}
	r.sum.Name, r.sum.Run = r.rec.Job.Name, r.rec.Job.Run
	if err := r.believe(); err != nil {
		return err
	}
	if err := r.plan(); err != nil {
		return err
	}
	// Before hours of copying: a line that cannot be read then would end the work again and again.
	if err := r.frames(func([]line) error { return nil }); err != nil {
		return err
	}
	if err := r.enter(); err != nil {
		return err
	}
	end, err := r.decisions()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, end()) }()
	if err := r.copyAll(); err != nil {
		return err
	}
	if err := r.catalogue(); err != nil {
		return err
	}
	if len(r.sum.Failed) > 0 {
		return nil // another bag of the same record may bring what is missing
	}
	if err := r.o.fsys.Remove(filepath.Join(r.state, markerName)); err != nil {
		return err
	}
	return r.o.fsys.SyncDir(r.state)
}

// decisions puts the journal into its place, from which the job makes all that was decided
// again, and takes the job for the time of the work.
func (r *runner) decisions() (end func() error, err error) {
	path := filepath.Join(r.state, record.JournalName)
	text, err := r.rec.Journal()
	if err != nil {
		return nil, err
	}
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		if err := atomicfile.WriteFile(r.o.fsys, path, text, 0o666); err != nil {
			return nil, err
		}
	}
	last := record.Moment(r.rec.Job.Last)
	if r.job, err = job.Open(r.root, job.Options{State: r.o.State, Who: "garner", Command: "archive --open", Now: func() time.Time { return last }}); err != nil {
		return nil, err
	}
	claim, err := r.job.Claim()
	if err != nil {
		return nil, errors.Join(err, r.job.Close())
	}
	end = func() error { return errors.Join(claim.Release(), r.job.Close()) }
	if err = r.job.SetOpened(r.rec.Bag, text); err == nil {
		r.sum.Unasked, err = r.job.LeaveConsent()
	}
	if err == nil {
		r.sum.Also, err = r.job.Also()
	}
	if err == nil && len(r.sum.Also) > 0 {
		err = r.job.SetAlso(nil)
	}
	if err != nil {
		return nil, errors.Join(err, end())
	}
	return end, nil
}

// poolBytes is what copies hold in memory.
const poolBytes = 8 << 20

// copyAll brings the files.
func (r *runner) copyAll() error {
	var far Progress
	far.Stage, far.Total = Copying, len(r.moves)
	sizes := make([]int64, len(r.moves))
	for i, m := range r.moves {
		if info, err := r.o.fsys.Lstat(r.inBag(m.from)); err == nil {
			sizes[i] = info.Size()
			far.All += sizes[i]
		}
	}
	pool, swept := copy.NewPool(poolBytes), map[string]bool{}
	for i, m := range r.moves {
		if err := r.ctx.Err(); err != nil {
			return err
		}
		if dir := filepath.Dir(r.inJob(m.to)); r.sum.Resumed && !swept[dir] {
			swept[dir] = true
			if _, err := vfs.Sweep(r.o.fsys, dir); err != nil {
				return err
			}
		}
		before := far.Bytes
		err := r.copy(m, pool, func(n int64) {
			far.Bytes += n
			r.o.Progress(far)
		})
		if r.ctx.Err() != nil {
			return r.ctx.Err()
		}
		if err != nil {
			if store.Class(err) == store.NoSpace {
				return err
			}
			r.lost[m.to] = true
			r.failed(m.to, "could not be had from "+m.from+": "+store.Reason(err))
		}
		far.Done, far.Bytes = i+1, before+sizes[i]
		r.o.Progress(far)
	}
	return nil
}

func (r *runner) copy(m move, pool *copy.Pool, progress func(int64)) error {
	if err := r.plain(m.from); err != nil {
		return err
	}
	res, err := copy.File(r.ctx, r.o.fsys, copy.Job{Source: r.inBag(m.from), Dests: []string{r.inJob(m.to)}, Expect: &m.sum, Pool: pool, Progress: progress})
	if err != nil {
		return err
	}
	for _, d := range res.Dests {
		if r.sum.Bypassed = r.sum.Bypassed && d.Bypassed; d.State == copy.Present {
			r.sum.Present++
		} else {
			r.sum.Copied++
		}
	}
	if m.small || strings.HasPrefix(m.from, record.SmallFolder+"/") {
		r.sum.Smalls++
	}
	r.sum.Bytes += res.Size
	if !m.small && res.Size != m.size {
		return fmt.Errorf("it has %d bytes, and the record says %d", res.Size, m.size)
	}
	return nil
}
