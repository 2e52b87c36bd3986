package job

import (
	"os"
	"path/filepath"
	"slices"

	"garner/cull"
)

// Also returns the folders beside the job that everything goes to, absolute, in
// the order in which they were first named. They need not be reachable now.
func (j *Job) Also() ([]string, error) {
	paths, err := j.noted(correctAlso)
	return slices.DeleteFunc(paths, func(dir string) bool {
		// A copy of the job that was opened in its place finds itself in the list;
		// a line written by hand may name anything.
		return !filepath.IsAbs(dir) || j.isRoot(dir)
	}), err
}

// SetAlso says which folders beside the job everything goes to, in place of those
// that were named before.
func (j *Job) SetAlso(dirs []string) error {
	want, err := j.absolute(dirs)
	if err != nil {
		return err
	}
	have, err := j.Also()
	if err != nil {
		return err
	}
	var entries []cull.Entry
	for _, dir := range have {
		if !slices.Contains(want, dir) {
			entries = append(entries, unnote(correctAlso, dir))
		}
	}
	for _, dir := range want {
		if !slices.Contains(have, dir) {
			entries = append(entries, note(correctAlso, dir))
		}
	}
	_, err = j.Append(entries...)
	return err
}

// addAlso names further folders.
func (j *Job) addAlso(dirs []string) error {
	more, err := j.absolute(dirs)
	if err != nil || len(more) == 0 {
		return err
	}
	have, err := j.Also()
	if err != nil {
		return err
	}
	return j.SetAlso(append(have, more...))
}

// absolute makes paths absolute and leaves out the job itself and what stands
// there twice.
func (j *Job) absolute(dirs []string) ([]string, error) {
	var out []string
	for _, dir := range dirs {
		abs, err := filepath.Abs(dir)
		if err != nil {
			return nil, err
		}
		if !j.isRoot(abs) && !slices.Contains(out, abs) {
			out = append(out, abs)
		}
	}
	return out, nil
}

func (j *Job) isRoot(dir string) bool {
	if filepath.Clean(dir) == j.root {
		return true
	}
	a, err1 := os.Stat(dir)
	b, err2 := os.Stat(j.root)
	return err1 == nil && err2 == nil && os.SameFile(a, b)
}

// Reachable reports whether a folder of [Job.Also] is there: its disk is
// connected, and what an offload made in it has not been deleted.
func Reachable(dir string) bool {
	info, err := os.Stat(filepath.Join(dir, stateName))
	return err == nil && info.IsDir()
}
