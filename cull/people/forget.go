package people

import (
	"errors"
	"fmt"

	"garner/cull"
	"garner/cull/job"
)

// Forgotten counts what was forgotten.
type Forgotten struct{ Faces, Frames int }

// Forget removes the templates of a person, or of everybody who has one name, and
// the name. Their places stay, so that these faces are not measured again. A person
// who was forgotten before is no error; one who never was is ErrNoPerson.
func (s *Store) Forget(person string) (Forgotten, error) {
	var gone Forgotten
	counts := map[uint32]int{}
	err := s.update(func(st *state) (bool, error) {
		who, err := st.find(person)
		if err != nil && !st.given(person) {
			return false, err
		}
		for _, faces := range st.frames {
			before := gone.Faces
			for i := range faces {
				if f := &faces[i]; who[f.person] {
					counts[f.person]++
					f.person, f.template = 0, Template{}
					gone.Faces++
				}
			}
			if gone.Faces > before {
				gone.Frames++
			}
		}
		st.tidy()
		return gone.Faces > 0, nil
	})
	if err != nil {
		return Forgotten{}, err
	}
	for p, n := range counts {
		err = errors.Join(err, s.note(noteForgotten, label(p), fmt.Sprint(n)))
	}
	return gone, err
}

// ForgetOthers removes the templates of frames that are not among those: of frames that
// left the job. Their places go too, but for those of faces that were forgotten before,
// should the frames come back.
func (s *Store) ForgetOthers(present func(cull.ID) bool) (Forgotten, error) {
	var gone Forgotten
	err := s.update(func(st *state) (bool, error) {
		changed := false
		for _, id := range st.ids() {
			if present(id) {
				continue
			}
			faces := st.frames[id]
			left := kept(nil, faces)
			if n := len(faces) - len(left); n > 0 || len(faces) == 0 {
				changed = true
				gone.Faces += n
				gone.Frames += min(n, 1)
			}
			for i := range faces {
				faces[i].template = Template{}
			}
			if st.frames[id] = left; len(left) == 0 {
				delete(st.frames, id)
			}
		}
		st.tidy()
		return changed, nil
	})
	if err != nil || gone.Faces == 0 {
		return gone, err
	}
	return gone, s.note(noteForgotten, noteGone, fmt.Sprint(gone.Faces))
}

// ForgetAll removes the file with everything in it, also one that is damaged.
// There being none is no error. The consent stays as it is: see [Withdraw].
func (s *Store) ForgetAll() (Forgotten, error) {
	var gone Forgotten
	had := false
	err := s.locked(func() error {
		st, err := s.read()
		if err == nil { // else it is not known how many there were
			gone = st.count()
			st.wipe()
		}
		had = err != nil || len(st.frames) > 0
		return s.file.Remove()
	})
	if err == nil && had {
		err = s.note(noteForgotten, noteAll, fmt.Sprint(gone.Faces))
	}
	return gone, err
}

// count counts the templates.
func (s *state) count() Forgotten {
	var n Forgotten
	for _, faces := range s.frames {
		before := n.Faces
		for _, f := range faces {
			if f.person != 0 {
				n.Faces++
			}
		}
		if n.Faces > before {
			n.Frames++
		}
	}
	return n
}

// Withdraw says no to templates for the job, with which go those that there are.
func Withdraw(j *job.Job) (Forgotten, error) {
	s := Open(j)
	var gone Forgotten
	// Before the no, which removes the file. One that cannot be read goes uncounted.
	_ = s.view(func(st *state) error {
		gone = st.count()
		return nil
	})
	had := s.Exists()
	if err := j.SetPeople(false); err != nil {
		return Forgotten{}, err
	}
	if _, err := s.ForgetAll(); err != nil || !had { // should the no have stood before
		return gone, err
	}
	return gone, s.note(noteForgotten, noteAll, fmt.Sprint(gone.Faces))
}
