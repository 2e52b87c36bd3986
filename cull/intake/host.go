package intake

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/scan"
	"garner/store/catalog"
	"garner/store/vfs"
)

// Run takes the cards into the job. Files that failed are no error: the report
// lists them, and its Bad counts them.
func Run(ctx context.Context, j *job.Job, o Options) (Report, error) {
	st, err := stockOf(j)
	if err != nil {
		return Report{}, err
	}
	r := newRun(o, jobHost{j, o.Settings}, st, j.Root())
	if err := r.separate(); err != nil {
		return r.report, err
	}
	if !o.DryRun {
		free, err := r.lockAll()
		defer free()
		if err != nil {
			return r.report, err
		}
	}
	rep, err := r.takeIn(ctx)
	if !o.DryRun {
		r.keep(j, &rep)
	}
	return rep, err
}

// stockOf reads what the catalogue knows.
func stockOf(j *job.Job) (stock, error) {
	frames, err := j.Frames()
	if err != nil {
		return stock{}, err
	}
	st := stock{known: map[string]knownFile{}}
	for _, f := range frames {
		for _, file := range f.Files {
			if file.Role == cull.RoleMain { // only of this one the frame's facts are surely its own
				st.known[file.Path] = knownFile{file, scan.ExposureOf(f, file)}
			}
		}
	}
	_, st.busy = j.Owner()
	st.damaged, err = j.Damaged()
	return st, err
}

type jobHost struct {
	*job.Job
	settings job.Settings
}

// BusyError says that another offload writes to a destination.
type BusyError struct {
	Root string
	Who  string
}

func (e *BusyError) Error() string {
	return fmt.Sprintf("another offload is writing to %s: %s", e.Root, e.Who)
}

// lockAll keeps other offloads from the destinations. The locks end with the
// process, whatever becomes of it.
func (r *run) lockAll() (free func(), err error) {
	var held []*os.File
	free = func() {
		for _, f := range held {
			f.Truncate(0)
			f.Close()
		}
	}
	host, _ := os.Hostname()
	for _, d := range r.dests {
		dir := filepath.Join(d.Root, stateFolder)
		if _, err := folderExists(r.fsys, d.Root); err != nil {
			return free, err // a file of that name: said before anything is made
		}
		if err := vfs.MkdirAll(r.fsys, dir, 0o777); err != nil {
			return free, err
		}
		f, err := os.OpenFile(filepath.Join(dir, lockName), os.O_RDWR|os.O_CREATE, 0o666)
		if err != nil {
			return free, err
		}
		if err := catalog.TryLock(f, true); err != nil {
			who := make([]byte, 256)
			n, _ := f.ReadAt(who, 0)
			f.Close()
			if errors.Is(err, catalog.ErrLocked) {
				return free, &BusyError{d.Root, cull.Plain(string(who[:n]))}
			}
			return free, err
		}
		held = append(held, f)
		f.Truncate(0)
		f.WriteAt(fmt.Appendf(nil, "process %d on %s, since %s", os.Getpid(), host, r.o.Now().Format("15:04")), 0)
	}
	return free, nil
}
