package job

import (
	"garner/cull"
	"garner/store/catalog"
)

// lookEvidence is the method under which looks are kept as evidence.
const lookEvidence = "look-1"

// SaveLooks stores what the pictures of frames look like. A look that is not known
// is forgotten.
func (j *Job) SaveLooks(looks map[cull.ID]cull.Look) error { return j.SavePictures(nil, looks) }

// SavePictures stores frames, as SaveFrames does, and what their pictures look
// like: all of it or nothing.
func (j *Job) SavePictures(frames []cull.Frame, looks map[cull.ID]cull.Look) error {
	return j.update(func(tx *catalog.Tx) error {
		for _, f := range frames {
			if err := saveFrame(tx, f); err != nil {
				return err
			}
		}
		t := tx.Evidence(lookEvidence)
		for id, l := range looks {
			var err error
			if l.Known() {
				err = t.Put(string(id), l.AppendBinary(nil))
			} else {
				err = t.Delete(string(id))
			}
			if err == nil {
				err = notGrouped(tx, string(id))
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// Looks returns what the pictures of the frames look like, of those of which it is
// known. A record that is damaged counts as none: it is measured again.
func (j *Job) Looks() (map[cull.ID]cull.Look, error) {
	var looks map[cull.ID]cull.Look
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		looks, err = looksOf(tx)
		return err
	})
	return looks, err
}

func looksOf(tx *catalog.Tx) (map[cull.ID]cull.Look, error) {
	looks := map[cull.ID]cull.Look{}
	err := tx.Evidence(lookEvidence).Each(func(id string, blob []byte) error {
		if l, ok := cull.LookFrom(blob); ok {
			looks[cull.ID(id)] = l
		}
		return nil
	})
	return looks, err
}
