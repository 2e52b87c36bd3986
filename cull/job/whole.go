package job

import (
	"time"

	"garner/cull"
	"garner/store/catalog"
)

// Whole is all that a job knows, as it stood at one moment.
type Whole struct {
	Loaded
	Passes   []cull.Pass                          // in order of definition
	Answers  map[string]map[cull.ID]cull.Decision // by pass; those that were opened again included
	Looks    map[cull.ID]cull.Look
	Measures map[cull.ID]cull.Measures // of faces only where the job says yes to them
	Journal  []byte                    // as text
	Entry    uint64                    // number of its last entry; 0 = there is none
	Last     time.Time                 // when that was made; zero = there is none
}

// Whole reads everything in one go: what is decided meanwhile is in it or not.
func (j *Job) Whole() (Whole, error) {
	var w Whole
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		w, err = wholeFrom(tx)
		return err
	})
	return w, err
}

// TakenBack reports whether a frame that the pass keep dropped is wanted all the same.
func (w Whole) TakenBack(id cull.ID) bool {
	return cull.TakenBack(w.Passes, func(pass string) cull.Answer { return w.Answers[pass][id].Answer })
}

// Dropped reports whether a frame was dropped, and no later pass took it back.
func (w Whole) Dropped(id cull.ID) bool {
	return w.Answers[cull.KeepPass][id].Answer == cull.No && !w.TakenBack(id)
}

func wholeFrom(tx *catalog.Tx) (w Whole, err error) {
	if w.Loaded, err = loadFrom(tx); err != nil {
		return w, err
	}
	if w.Passes, w.Answers, err = answersOf(tx); err != nil {
		return w, err
	}
	if w.Looks, err = looksOf(tx); err != nil {
		return w, err
	}
	if w.Measures, err = measuresOf(tx); err != nil {
		return w, err
	}
	faces, err := consentOf(tx, correctFaces)
	if err != nil {
		return w, err
	}
	if !faces.Yes {
		for id, m := range w.Measures {
			m.Faces = cull.Faces{}
			w.Measures[id] = m
		}
	}
	if w.Journal, w.Entry, err = journalOf(tx); err != nil {
		return w, err
	}
	if w.Entry > 0 {
		r, _, err := tx.Journal().Get(tx.Journal().Last())
		if err != nil {
			return w, err
		}
		e, err := cull.ParseEntry(r.Line)
		if err != nil {
			return w, err
		}
		w.Last = e.At
	}
	return w, nil
}
