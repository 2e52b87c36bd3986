package job

import (
	"errors"

	"garner/cull"
	"garner/store/catalog"
)

var errNoMethod = errors.New("evidence needs the name of its method")

// PutEvidence stores what a method measured for some frames. The bytes are the
// method's own; a method that measures differently takes another name.
func (j *Job) PutEvidence(method string, found map[cull.ID][]byte) error {
	if method == "" {
		return errNoMethod
	}
	return j.update(func(tx *catalog.Tx) error {
		t := tx.Evidence(method)
		for id, blob := range found {
			if err := t.Put(string(id), blob); err != nil {
				return err
			}
		}
		return nil
	})
}

// Evidence returns everything that a method measured.
func (j *Job) Evidence(method string) (map[cull.ID][]byte, error) {
	if method == "" {
		return nil, errNoMethod
	}
	found := map[cull.ID][]byte{}
	err := j.db.View(func(tx *catalog.Tx) error {
		return tx.Evidence(method).Each(func(id string, blob []byte) error {
			found[cull.ID(id)] = blob
			return nil
		})
	})
	return found, err
}

// Wrote returns the values that we wrote into a sidecar, and whether we ever did.
func (j *Job) Wrote(sidecar string) ([]byte, bool, error) {
	var blob []byte
	var ok bool
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		blob, ok, err = tx.Wrote().Get(sidecar)
		return err
	})
	return blob, ok, err
}

// AllWrote returns the values that we wrote, by sidecar.
func (j *Job) AllWrote() (map[string][]byte, error) {
	all := map[string][]byte{}
	err := j.db.View(func(tx *catalog.Tx) error {
		return tx.Wrote().Each(func(sidecar string, blob []byte) error {
			all[sidecar] = blob
			return nil
		})
	})
	return all, err
}

// SetWrote remembers what was written into sidecars; nil forgets one.
func (j *Job) SetWrote(wrote map[string][]byte) error {
	return j.update(func(tx *catalog.Tx) error {
		for sidecar, blob := range wrote {
			var err error
			if blob == nil {
				err = tx.Wrote().Delete(sidecar)
			} else {
				err = tx.Wrote().Put(sidecar, blob)
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}
