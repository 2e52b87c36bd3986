package free

import (
	"os"
	"path/filepath"
	"slices"

	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/store"
)

// destinations are the bags that have to stand for what goes: those that were named,
// and each that the job has noted. One that was noted and cannot be reached now is
// left out only if a bag of its name was named, which it is then taken to be.
func (w *Work) destinations(journal []byte) ([]string, error) {
	noted, err := w.job.Bags()
	if err != nil {
		return nil, err
	}
	var dirs, moved []string
	for _, dir := range w.o.Bags {
		bag, err := bagAt(dir, journal)
		if err != nil {
			return nil, err
		}
		dirs = append(dirs, bag)
		if !slices.Contains(noted, bag) {
			moved = append(moved, filepath.Base(bag))
		}
	}
	for _, dir := range noted {
		if slices.Contains(dirs, dir) {
			continue
		}
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			if i := slices.Index(moved, filepath.Base(dir)); i >= 0 {
				moved = slices.Delete(moved, i, i+1)
				continue
			}
		}
		dirs = append(dirs, dir)
	}
	if len(dirs) == 0 {
		return nil, ErrNoBag
	}
	return dirs, nil
}

// bagAt is the bag of the job that is at a folder, or directly in it.
func bagAt(dir string, journal []byte) (string, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	if _, err := record.Open(abs); err == nil {
		return abs, nil
	}
	entries, err := os.ReadDir(abs)
	if err != nil {
		return "", &BagError{Dir: abs, Why: "cannot be reached: " + store.Reason(err)}
	}
	for _, e := range entries {
		at := filepath.Join(abs, e.Name())
		if r, err := record.Open(at); err == nil {
			if theirs, err := r.Journal(); err == nil && within(theirs, journal) {
				return at, nil
			}
		}
	}
	return "", &BagError{Dir: abs, Why: "is no bag of this job, and none lies in it"}
}

// Copies tells how many of the originals that may go lie in a folder that everything
// was offloaded to as well. Nothing is deleted there.
type Copies struct {
	Dir   string
	Files int
	Bytes int64
}

// copies looks for the originals at the job's other destinations.
func (w *Work) copies() (list []Copies, err error) {
	also, err := w.job.Also()
	if err != nil {
		return nil, err
	}
	for _, dir := range also {
		if !job.Reachable(dir) {
			continue
		}
		c := Copies{Dir: dir}
		for _, f := range w.Go {
			if info, err := os.Lstat(filepath.Join(dir, filepath.FromSlash(f.Path))); err == nil && info.Mode().IsRegular() && info.Size() == f.Bytes {
				c.Files++
				c.Bytes += f.Bytes
			}
		}
		list = append(list, c)
	}
	return list, nil
}
