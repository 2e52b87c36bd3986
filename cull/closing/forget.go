package closing

import (
	"context"
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/store"
	"garner/store/vfs"
)

// Forgetting is what it means that a bag is one of the job's no longer, such as one on a
// disk that died. Nothing is deleted by it, in the bag or in the job: the job does not ask
// for the bag any more, and archiving again to the folder that it lies in takes it in again.
type Forgetting struct {
	Dir   string // of the bag, as the job noted it
	There bool   // the bag can be reached, is of this job, and has all its files at their sizes
	Stay  []Bag  // the bags that the job still has then; nothing is said of Proven

	// Originals that the job has no more are what a bag is needed for.
	Freed int      // how many there are
	Alone []string // of those, the paths of which no bag that stays, and is there now, has a picture
	Kept  []string // of Alone those whose frames are kept: their raw files were in bags alone

	job *job.Job
}

// NotNotedError says that the job has noted no such bag.
type NotNotedError struct{ Bags []string } // those that it has

func (e *NotNotedError) Error() string {
	if len(e.Bags) == 0 {
		return "the job has noted no bag"
	}
	return "the job has noted no bag there"
}

// ToForget looks at what forgetting a bag would mean. dir is the bag, or the folder that it
// lies in; neither has to be there.
func ToForget(ctx context.Context, j *job.Job, dir string) (Forgetting, error) {
	f := Forgetting{job: j}
	noted, err := j.Bags()
	if err != nil {
		return f, err
	}
	if f.Dir, err = notedAt(noted, dir); err != nil {
		return f, err
	}
	journal, err := j.JournalText()
	if err != nil {
		return f, err
	}
	if f.Alone, err = gone(j); err != nil {
		return f, err
	}
	f.Freed = len(f.Alone)
	freed, err := j.Freed()
	if err != nil {
		return f, err
	}
	for _, at := range noted {
		if ctx.Err() != nil {
			return f, ctx.Err()
		}
		err := whole(at, job.Archived{}, journal)
		if at == f.Dir {
			f.There = err == nil
			continue
		}
		b := Bag{Dir: at, There: err == nil}
		if b.There && len(f.Alone) > 0 {
			var has map[string]string
			if has, err = pictured(at); err != nil {
				b.There, has = false, nil
			}
			f.Alone = slices.DeleteFunc(f.Alone, func(p string) bool { return has[p] == store.Hex(freed[p].Sum) })
		}
		if err != nil {
			b.Why = store.Reason(err)
		}
		f.Stay = append(f.Stay, b)
	}
	answers, err := j.Decisions(cull.KeepPass)
	if err != nil {
		return f, err
	}
	for _, p := range f.Alone {
		if answers[freed[p].Frame].Answer == cull.Yes {
			f.Kept = append(f.Kept, p)
		}
	}
	return f, nil
}

// Grave reports whether originals were deleted of which no bag that stays has a picture:
// what the job's own folder has of them would be all that there is. It is only done where
// somebody confirms that.
func (f Forgetting) Grave() bool { return len(f.Alone) > 0 }

// Forget notes that the bag is not one of the job's.
func (f Forgetting) Forget() error {
	unlock, err := lock(filepath.Join(f.job.StateDir(), "archive.lock"))
	if err != nil {
		return err
	}
	defer unlock()
	return f.job.ForgetBag(f.Dir)
}

// notedAt is the noted bag that a person names: by its own folder, or by the one in which
// it alone of the job's bags lies.
func notedAt(noted []string, dir string) (string, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	for _, as := range []string{abs, vfs.Resolve(abs)} {
		if slices.Contains(noted, as) {
			return as, nil
		}
		var in []string
		for _, bag := range noted {
			if filepath.Dir(bag) == as {
				in = append(in, bag)
			}
		}
		if len(in) == 1 {
			return in[0], nil
		}
	}
	return "", &NotNotedError{noted}
}

// gone lists the originals that were freed and are not in the job's folder.
func gone(j *job.Job) ([]string, error) {
	freed, err := j.Freed()
	if err != nil {
		return nil, err
	}
	var paths []string
	for _, p := range slices.Sorted(maps.Keys(freed)) {
		_, err := os.Lstat(filepath.Join(j.Root(), filepath.FromSlash(p)))
		if errors.Is(err, fs.ErrNotExist) {
			paths = append(paths, p)
		}
	}
	return paths, nil
}

// pictured are the originals that a bag has, or a small picture of, with their SHA-256 in
// hex, by their paths in the job: what its last record says, if its manifest has the file.
func pictured(dir string) (map[string]string, error) {
	p := &place{Place: Place{Dir: dir}}
	if err := p.open(vfs.OS{}); err != nil {
		return nil, err
	}
	r, err := record.Open(dir)
	if err != nil {
		return nil, err
	}
	has := map[string]string{}
	for f, err := range r.Files() {
		if err != nil {
			return nil, err
		}
		of, err := f.JobPath()
		if err != nil {
			return nil, err
		}
		for _, at := range []string{f.Bag, f.Small} {
			if _, ok := p.sum(at); ok {
				has[of] = f.SHA256
			}
		}
	}
	// What was freed before that record was made has no line of its own there.
	for f, err := range r.Frames() {
		if err != nil {
			return nil, err
		}
		if f.Small == nil {
			continue
		}
		of, err := f.Small.Original()
		if err != nil {
			return nil, err
		}
		if _, ok := p.sum(f.Small.Path); ok && has[of] == "" {
			has[of] = f.Small.SHA256
		}
	}
	return has, nil
}
