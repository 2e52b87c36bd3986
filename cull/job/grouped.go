package job

import (
	"bytes"
	"encoding/binary"
	"maps"
	"slices"

	"garner/cull"
	"garner/store/catalog"
)

// Which frames were saved after the order was made last is kept with them, in one
// transaction, so that the next grouping knows what it may leave as it is, whatever
// ended in between.
const (
	ungrouped   = "ungrouped"  // evidence: frame → number of the saving
	metaSavings = "savings"    // how often frames were saved
	metaGrouped = "grouped_as" // the method that made the order; 0 = not known
)

// Since is what happened to the frames since the order was made.
type Since struct {
	Known  bool // false: nothing is known of it, and everything has to be grouped
	frames map[cull.ID][]byte
}

// Changed reports whether a frame was saved since.
func (s Since) Changed(id cull.ID) bool {
	_, ok := s.frames[id]
	return ok || !s.Known
}

// Frames lists the frames that are known to have been saved since.
func (s Since) Frames() []cull.ID { return slices.Collect(maps.Keys(s.frames)) }

// Nothing reports that no frame was saved since, as far as is known.
func (s Since) Nothing() bool { return s.Known && len(s.frames) == 0 }

// notGrouped notes that a frame was saved.
func notGrouped(tx *catalog.Tx, id string) error {
	n, _, err := tx.Meta().Get(metaSavings)
	if err != nil {
		return err
	}
	if err := tx.Meta().Put(metaSavings, n+1); err != nil {
		return err
	}
	return tx.Evidence(ungrouped).Put(id, binary.BigEndian.AppendUint64(nil, uint64(n)))
}

// SinceGrouped returns what happened since a method made the order of the job. Of
// what it lists, that has to be grouped which is read after it.
func (j *Job) SinceGrouped(method int) (Since, error) {
	s := Since{frames: map[cull.ID][]byte{}}
	err := j.db.View(func(tx *catalog.Tx) error {
		by, _, err := tx.Meta().Get(metaGrouped)
		if err != nil {
			return err
		}
		s.Known = method != 0 && by == int64(method)
		return tx.Evidence(ungrouped).Each(func(id string, n []byte) error {
			s.frames[cull.ID(id)] = bytes.Clone(n)
			return nil
		})
	})
	return s, err
}

// SaveGrouping stores the order that a method made, which has taken in what happened
// until then. A frame that was saved meanwhile is noticed the next time.
func (j *Job) SaveGrouping(l cull.Layout, method int, taken Since) error {
	packed := packLayout(l)
	return j.update(func(tx *catalog.Tx) error {
		t := tx.Evidence(ungrouped)
		for id, n := range taken.frames {
			now, _, err := t.Get(string(id))
			if err == nil && bytes.Equal(now, n) {
				err = t.Delete(string(id))
			}
			if err != nil {
				return err
			}
		}
		if err := tx.Meta().Put(metaGrouped, int64(method)); err != nil {
			return err
		}
		return tx.Layout().Put(packed)
	})
}
