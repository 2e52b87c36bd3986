package free

import (
	"context"
	"errors"
	"maps"
	"slices"

	"garner/cull/job"
	"garner/cull/prepare"
)

// Aside lists the originals that lie aside since a freeing was interrupted, by the paths
// that they had, which nothing has now.
func Aside(j *job.Job) ([]string, error) {
	freed, err := j.Freed()
	if err != nil {
		return nil, err
	}
	var list []string
	for _, p := range slices.Sorted(maps.Keys(freed)) {
		if dir, name, err := enter(j.Root(), p); err == nil {
			if lies(dir, name) {
				list = append(list, p)
			}
			dir.Close()
		}
	}
	return list, nil
}

// lies reports whether an original lies aside, and its name is free.
func lies(dir folder, name string) bool {
	info, err := dir.Lstat(asideName(name))
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	_, err = dir.Lstat(name)
	return err != nil
}

// Mend gives originals that lie aside their names back, for a command that has nothing to do
// with freeing: until then their frames pass for freed. It returns those that have them.
// While another program has the job, which may be freeing, nothing is done.
func Mend(ctx context.Context, j *job.Job) (back []string, err error) {
	if list, err := Aside(j); err != nil || len(list) == 0 {
		return nil, err
	}
	claim, err := j.Claim()
	var owned *job.OwnedError
	if errors.As(err, &owned) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, claim.Release()) }()
	if back, err = mend(j, enter); err != nil || len(back) == 0 {
		return back, err
	}
	_, err = prepare.Scan(ctx, j)
	return back, err
}

// mend gives the names back; the job has been claimed. What cannot have its name stays where
// it lies: the next run tries again.
func mend(j *job.Job, enter func(root, path string) (folder, string, error)) (back []string, err error) {
	freed, err := j.Freed()
	if err != nil {
		return nil, err
	}
	for _, p := range slices.Sorted(maps.Keys(freed)) {
		dir, name, err := enter(j.Root(), p)
		if err != nil {
			continue // the folder is gone, or is none: nothing lies aside in it
		}
		if lies(dir, name) && putBack(dir, name, p) == nil {
			back = append(back, p)
		}
		dir.Close()
	}
	return back, nil
}
