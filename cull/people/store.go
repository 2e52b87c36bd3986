package people

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"sync"

	"garner/cull"
	"garner/cull/job"
	"garner/store"
	"garner/store/vfs"
)

// Store is the people.db of one job. It holds no file open and may be used by
// several goroutines and beside other programs.
type Store struct {
	dir     folder
	consent func() (bool, error)
	aliases func() (map[cull.ID]cull.ID, error)
	note    func(words ...string) error

	mu    sync.Mutex
	begun bool
	made  int // templates, since Open
}

// ErrNoConsent is returned by Put where the job does not say yes to templates, or
// no longer.
var ErrNoConsent = errors.New("templates of faces are off for this job")

// Open returns the job's store and finishes off what a killed program left behind.
// It makes no file.
func Open(j *job.Job) (*Store, error) {
	s := &Store{
		dir: folder{vfs.OS{}, j.StateDir()},
		consent: func() (bool, error) {
			c, err := j.People()
			return c.Yes, err
		},
		aliases: j.Aliases,
		note: func(words ...string) error {
			_, err := j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: append([]string{noteKind}, words...)})
			return err
		},
	}
	if !leftOver(j.StateDir()) {
		return s, nil
	}
	return s, s.locked(s.dir.settle)
}

// Exists reports whether there is a people.db, or anything left of one.
func Exists(j *job.Job) bool {
	_, err := os.Lstat(filepath.Join(j.StateDir(), fileName))
	return err == nil || leftOver(j.StateDir())
}

func leftOver(dir string) bool {
	for _, name := range []string{newName, oldName} {
		if _, err := os.Lstat(filepath.Join(dir, name)); err == nil {
			return true
		}
	}
	return false
}

// The journal says when templates were made and deleted, and how many; nothing
// about whom:
//
//	correct templates begun             before the first of a run is kept
//	correct templates made 40           at its end
//	correct templates forgotten p3 12   a person's
//	correct templates forgotten all 40
const (
	noteKind      = "templates"
	noteBegun     = "begun"
	noteMade      = "made"
	noteForgotten = "forgotten"
	noteAll       = "all"
)

func (s *Store) locked(fn func() error) error {
	unlock, err := lock(s.dir.dir)
	if err != nil {
		return err
	}
	defer unlock()
	return fn()
}

// view runs fn on the state as it stands.
func (s *Store) view(fn func(*state) error) error {
	if _, err := os.Lstat(s.dir.path(fileName)); errors.Is(err, fs.ErrNotExist) && !leftOver(s.dir.dir) {
		return fn(newState()) // nothing is made where there is nothing
	}
	run := func() error {
		st, err := s.load()
		if err != nil {
			return err
		}
		defer st.wipe()
		return fn(st)
	}
	unlock, err := lock(s.dir.dir)
	if err != nil && store.Class(err) == store.Permission {
		return run() // nobody writes there
	}
	if err != nil {
		return err
	}
	defer unlock()
	if err := s.dir.settle(); err != nil {
		return err
	}
	return run()
}

// update runs fn on the state and keeps what it made of it, if it says so.
func (s *Store) update(fn func(*state) (changed bool, err error)) error {
	return s.locked(func() error {
		if err := s.dir.settle(); err != nil {
			return err
		}
		st, err := s.load()
		if err != nil {
			return err
		}
		defer st.wipe()
		if changed, err := fn(st); err != nil || !changed {
			return err
		}
		if len(st.frames) > maxFrames || st.next > maxPerson || st.size() > maxSize {
			return fmt.Errorf("more faces than people.db holds (%d MiB)", maxSize>>20)
		}
		b := st.encode()
		defer clear(b)
		return s.dir.replace(b)
	})
}

func (s *Store) load() (*state, error) {
	st, err := s.dir.load()
	if err != nil {
		return nil, err
	}
	now, err := s.aliases()
	if err != nil {
		return nil, err
	}
	st.rename(now)
	return st, nil
}

// label is the name of a person whom nobody has named.
func label(p uint32) string { return "p" + strconv.FormatUint(uint64(p), 10) }
