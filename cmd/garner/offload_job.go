package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"garner/cull/job"
)

// open opens the job, and makes its folder if there is none. A dry run writes
// nothing that stays.
func (o *offloading) open() (done func(), err error) {
	root, flags := o.f.job, o.f.jobFlags
	undo := func() {}
	for _, also := range o.f.also {
		if above := filepath.Dir(filepath.Clean(also)); !isFolder(above) {
			return nil, hinted(fmt.Errorf("the folder that is to hold the copy is not there: %s", above), "is its disk mounted? else mkdir "+shellWord(above))
		}
	}
	if o.set, err = o.settings(root); err != nil {
		return nil, err
	}
	_, err = os.Stat(root)
	switch missing := errors.Is(err, os.ErrNotExist); {
	case err != nil && !missing:
		return nil, err
	case o.f.dry:
		state := filepath.Join(root, ".garner")
		if flags.state != "" {
			state = flags.state
		}
		if root, flags.state, undo, err = standIn(root, state, missing); err != nil {
			return nil, o.jobHint(err)
		}
	case missing:
		if err := makeFolder(root); err != nil {
			return nil, o.jobHint(err)
		}
	}
	if o.job, err = o.desk.open(root, flags, job.Options{Command: "offload"}); err != nil {
		undo()
		return nil, err
	}
	return func() {
		_ = o.job.Close()
		undo()
	}, nil
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// makeFolder makes a folder that is still there after a power failure: the entry
// in the folder above is synced too, where the system has such a thing.
func makeFolder(dir string) error {
	if err := os.Mkdir(dir, 0o777); err != nil {
		return err
	}
	if above, err := os.Open(filepath.Dir(filepath.Clean(dir))); err == nil {
		_ = above.Sync() // Windows has none
		_ = above.Close()
	}
	return nil
}

func (o *offloading) jobHint(err error) error {
	above := filepath.Dir(filepath.Clean(o.f.job))
	if errors.Is(err, os.ErrNotExist) {
		return hinted(fmt.Errorf("the folder that is to hold the job is not there: %s", above), "mkdir "+shellWord(above)+", or name another place with --job")
	}
	return hinted(err, "--job DIR names another place")
}

// standIn makes what a dry run works on: a copy of the job's catalogue and journal,
// since planning gives letters to new bodies, and, if there is no job yet, an empty
// folder on the same disk, so that the room is that disk's.
func standIn(dir, state string, missing bool) (root, copied string, undo func(), err error) {
	root = dir
	if missing {
		if root, err = os.MkdirTemp(filepath.Dir(filepath.Clean(dir)), ".garner-dry-run-"); err != nil {
			return "", "", nil, err
		}
	}
	copied, err = os.MkdirTemp("", "garner-dry-run-")
	undo = func() {
		if missing {
			_ = os.Remove(root)
		}
		if copied != "" {
			_ = os.RemoveAll(copied)
		}
	}
	for _, name := range []string{"catalog.db", "journal.txt"} {
		if err == nil {
			err = copyOf(filepath.Join(copied, name), filepath.Join(state, name))
		}
	}
	if err != nil {
		undo()
	}
	return root, copied, undo, err
}

// copyOf copies a file, if there is one.
func copyOf(to, from string) error {
	in, err := os.Open(from)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}
