package job

import (
	"encoding/binary"

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
				err = t.Put(string(id), encodeLook(l))
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
	looks := map[cull.ID]cull.Look{}
	err := j.db.View(func(tx *catalog.Tx) error {
		return tx.Evidence(lookEvidence).Each(func(id string, blob []byte) error {
			if l, ok := decodeLook(blob); ok {
				looks[cull.ID(id)] = l
			}
			return nil
		})
	})
	return looks, err
}

// A look is kept in a fixed number of bytes: the version of this form, the method,
// 1 for black-and-white, the parts with their highest byte first, columns, rows,
// detail, red, green, blue.
const (
	lookVersion = 1
	lookBytes   = 3 + 8*cull.LookParts + 2*cull.LookBars + cull.LookTiles + 3
)

func encodeLook(l cull.Look) []byte {
	b := make([]byte, 0, lookBytes)
	b = append(b, lookVersion, l.Method, 0)
	if l.Grey {
		b[2] = 1
	}
	for _, part := range l.Parts {
		b = binary.BigEndian.AppendUint64(b, part)
	}
	b = append(b, l.Columns[:]...)
	b = append(b, l.Rows[:]...)
	b = append(b, l.Detail[:]...)
	return append(b, l.Red, l.Green, l.Blue)
}

func decodeLook(b []byte) (l cull.Look, ok bool) {
	if len(b) != lookBytes || b[0] != lookVersion || b[1] == 0 || b[2] > 1 {
		return cull.Look{}, false
	}
	l.Method, l.Grey = b[1], b[2] == 1
	b = b[3:]
	for i := range l.Parts {
		l.Parts[i], b = binary.BigEndian.Uint64(b), b[8:]
	}
	b = b[copy(l.Columns[:], b):]
	b = b[copy(l.Rows[:], b):]
	b = b[copy(l.Detail[:], b):]
	l.Red, l.Green, l.Blue = b[0], b[1], b[2]
	return l, true
}
