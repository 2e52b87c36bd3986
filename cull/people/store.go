package people

import (
	"errors"
	"fmt"
	"strconv"
	"sync"

	"garner/cull"
	"garner/cull/job"
	"garner/store"
	"garner/store/erasable"
)

// Store is the people.db of one job. It holds no file open and may be used by
// several goroutines and beside other programs.
type Store struct {
	file    erasable.File
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

// Open returns the job's store. It touches nothing: what a killed program left
// behind was finished off when the job was opened.
func Open(j *job.Job) *Store {
	return &Store{
		file: j.PeopleFile(),
		consent: func() (bool, error) {
			c, err := j.People()
			return c.Yes, err
		},
		aliases: j.Aliases,
		note: func(words ...string) error {
			_, err := j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: append([]string{noteKind}, words...)})
			if errors.Is(err, job.ErrJournal) {
				err = nil // it stands, and the text follows
			}
			return err
		},
	}
}

// Exists reports whether there is a people.db, or anything left of one.
func (s *Store) Exists() bool { return s.file.Exists() }

// The journal says when templates were made and deleted, and how many; nothing
// about whom:
//
//	correct templates begun             before the first of a run is kept
//	correct templates made 40           at its end
//	correct templates forgotten p3 12   a person's
//	correct templates forgotten gone 3  those of frames that left the job
//	correct templates forgotten all 40
const (
	noteKind      = job.CorrectTemplates
	noteBegun     = "begun"
	noteMade      = "made"
	noteForgotten = "forgotten"
	noteAll       = "all"
	noteGone      = "gone"
)

func (s *Store) locked(fn func() error) error {
	unlock, err := s.file.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	return fn()
}

// view runs fn on the state as it stands. A file that outlasted its consent, as when a
// program was killed between the two, is none: it is removed once the job is opened to
// be written to, and nobody reads it before.
func (s *Store) view(fn func(*state) error) error {
	if !s.file.Exists() {
		return fn(newState()) // nothing is made where there is nothing
	}
	if yes, err := s.consent(); err != nil || !yes {
		return errors.Join(err, fn(newState()))
	}
	run := func() error {
		st, err := s.load()
		if err != nil {
			return err
		}
		defer st.wipe()
		return fn(st)
	}
	unlock, err := s.file.Lock()
	if err != nil && store.Class(err) == store.Permission {
		return run() // nobody writes there
	}
	if err != nil {
		return err
	}
	defer unlock()
	if err := s.file.Settle(); err != nil {
		return err
	}
	return run()
}

// update runs fn on the state and keeps what it made of it, if it says so.
func (s *Store) update(fn func(*state) (changed bool, err error)) error {
	return s.locked(func() error {
		if err := s.file.Settle(); err != nil {
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
		if len(st.frames) > maxFrames || st.faces() > maxAll || st.next > maxPerson || int64(st.size()) > s.file.MaxSize {
			return fmt.Errorf("more faces than people.db holds (%d MiB)", s.file.MaxSize>>20)
		}
		b := st.encode()
		defer clear(b)
		return s.file.Replace(b)
	})
}

func (s *Store) load() (*state, error) {
	st, err := s.read()
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

// read reads the file; a missing one is an empty state.
func (s *Store) read() (*state, error) {
	b, err := s.file.Read()
	switch {
	case errors.Is(err, erasable.ErrTooLarge):
		return nil, fmt.Errorf("%w: it is too large", ErrDamaged)
	case err != nil:
		return nil, err
	case b == nil:
		return newState(), nil
	}
	defer clear(b)
	return decode(b)
}

// label is the name of a person whom nobody has named.
func label(p uint32) string { return "p" + strconv.FormatUint(uint64(p), 10) }
