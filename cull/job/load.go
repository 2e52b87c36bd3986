package job

import (
	"garner/cull"
	"garner/store/catalog"
)

// Loaded is a job as it stood at one moment.
type Loaded struct {
	Session *cull.Session
	Frames  map[cull.ID]cull.Frame
	Bodies  []cull.Body // in the order of their letters, those without one last
	Aliases map[cull.ID]cull.ID
}

// Load reads all that deciding needs, in one go: nothing that is saved meanwhile
// gets between the order and the frames, and nothing is read twice.
func (j *Job) Load() (Loaded, error) {
	var l Loaded
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		l, err = loadFrom(tx)
		return err
	})
	return l, err
}

func loadFrom(tx *catalog.Tx) (Loaded, error) {
	var l Loaded
	layout, err := autoLayoutOf(tx)
	if err != nil {
		return l, err
	}
	if l.Frames, err = framesOf(tx, len(layout.Places)); err != nil {
		return l, err
	}
	if l.Bodies, err = bodiesOf(tx); err != nil {
		return l, err
	}
	if l.Aliases, err = aliasesOf(tx); err != nil {
		return l, err
	}
	entries, err := entriesOf(tx)
	if err != nil {
		return l, err
	}
	names := make(map[cull.ID]string, len(l.Frames))
	for id, f := range l.Frames {
		names[id] = f.Name
	}
	l.Session = replay(layout, names, l.Aliases, entries, nil)
	return l, nil
}

// FramesOf returns those of some frames that the job has; a former id stands for
// the frame's present one.
func (j *Job) FramesOf(ids ...cull.ID) (map[cull.ID]cull.Frame, error) {
	frames := make(map[cull.ID]cull.Frame, len(ids))
	err := j.db.View(func(tx *catalog.Tx) error {
		for _, former := range ids {
			id, err := present(tx, former)
			if err != nil {
				return err
			}
			f, ok, err := tx.Frames().Get(id)
			if err != nil {
				return err
			}
			if ok {
				frames[cull.ID(id)] = fromFrame(id, f)
			}
		}
		return nil
	})
	return frames, err
}

func framesOf(tx *catalog.Tx, about int) (map[cull.ID]cull.Frame, error) {
	frames := make(map[cull.ID]cull.Frame, about)
	err := tx.Frames().Each(func(id string, f catalog.Frame) error {
		frames[cull.ID(id)] = fromFrame(id, f)
		return nil
	})
	return frames, err
}
