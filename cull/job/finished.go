package job

import (
	"strings"

	"garner/cull"
	"garner/store/catalog"
)

// Which frames a picture shows that came back from the editor may be said by hand:
//
//	correct finished finished/IMG_0001-2.jpg #0123456789abcdef …
//	correct finished finished/IMG_0001-2.jpg none
//
// Of several lines for one path the last counts; without a frame it takes back what
// was said. The first frame is the one whose picture it is, further ones were merged
// into it.

// Finished is the entry that says which frames the picture at a path of the job
// shows; without one, that it shows none of them.
func Finished(path string, frames ...cull.ID) cull.Entry {
	args := []string{cull.CorrectFinished, path}
	for _, id := range frames {
		args = append(args, "#"+string(id))
	}
	if len(frames) == 0 {
		args = append(args, cull.CorrectNone)
	}
	return cull.Entry{Verb: cull.VerbCorrect, Args: args}
}

// IsFinished reports whether an entry is one of [Finished], or takes one back.
func IsFinished(e cull.Entry) bool {
	return e.Verb == cull.VerbCorrect && len(e.Args) >= 2 && e.Args[0] == cull.CorrectFinished
}

// Finished returns what was said by hand of pictures that came back, by their paths in
// the job: the frames that each shows, none for one that shows none of them.
func (j *Job) Finished() (map[string][]cull.ID, error) {
	said := map[string][]cull.ID{}
	err := j.db.View(func(tx *catalog.Tx) error {
		entries, err := correctionsOf(tx)
		if err != nil {
			return err
		}
		for _, e := range entries {
			if !IsFinished(e) {
				continue
			}
			path, ids := e.Args[1], []cull.ID{}
			for _, a := range e.Args[2:] {
				former, ok := strings.CutPrefix(a, "#")
				if !ok {
					continue // none, or of a later version
				}
				id, err := present(tx, cull.ID(former))
				if err != nil {
					return err
				}
				ids = append(ids, cull.ID(id))
			}
			switch none := len(e.Args) == 3 && e.Args[2] == cull.CorrectNone; {
			case len(ids) > 0 || none:
				said[path] = ids
			case len(e.Args) == 2:
				delete(said, path)
			}
		}
		return nil
	})
	return said, err
}

// SetFinished says which frames the picture at a path of the job shows; none, that it
// shows none of them.
func (j *Job) SetFinished(path string, frames ...cull.ID) error {
	_, err := j.Append(Finished(path, frames...))
	return err
}

// ForgetFinished takes back what was said of a picture.
func (j *Job) ForgetFinished(path string) error {
	said, err := j.Finished()
	if err != nil {
		return err
	}
	if _, ok := said[path]; !ok {
		return nil
	}
	_, err = j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: []string{cull.CorrectFinished, path}})
	return err
}

// finishedEvidence is the method under which is kept what was read of pictures that
// came back, by their paths.
const finishedEvidence = "finished-1"

// ReadOfFinished returns what was read of pictures that came back, by their paths in
// the job, in the form of whoever read it.
func (j *Job) ReadOfFinished() (map[string][]byte, error) {
	read := map[string][]byte{}
	err := j.db.View(func(tx *catalog.Tx) error {
		return tx.Evidence(finishedEvidence).Each(func(path string, blob []byte) error {
			read[path] = blob
			return nil
		})
	})
	return read, err
}

// KeepOfFinished keeps what was read of pictures; nil forgets one.
func (j *Job) KeepOfFinished(read map[string][]byte) error {
	if len(read) == 0 {
		return nil
	}
	return j.update(func(tx *catalog.Tx) error {
		t := tx.Evidence(finishedEvidence)
		for path, blob := range read {
			var err error
			if blob == nil {
				err = t.Delete(path)
			} else {
				err = t.Put(path, blob)
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}
