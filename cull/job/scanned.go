package job

import "garner/store/catalog"

// metaScanOpen is set while the frames of the job are those of a part of its
// folder.
const metaScanOpen = "scan_open"

// NeedsScan reports whether no frames or no order of them are known, or only
// those of a part of the folder, so that the folder has to be scanned before
// anything can be decided. A mended catalogue may have frames without an order.
func (j *Job) NeedsScan() bool {
	needs := true
	err := j.db.View(func(tx *catalog.Tx) error {
		if open, _, err := tx.Meta().Get(metaScanOpen); err != nil || open != 0 || tx.Frames().Last() == "" {
			return err
		}
		l, err := tx.Layout().Get()
		needs = len(l.Places) == 0
		return err
	})
	return err != nil || needs
}

// SetScanned says whether the frames are those of the whole folder or, until the
// scan has come to its end, of a part of it.
func (j *Job) SetScanned(whole bool) error {
	open := int64(1)
	if whole {
		open = 0
	}
	same := false
	err := j.db.View(func(tx *catalog.Tx) error {
		is, _, err := tx.Meta().Get(metaScanOpen)
		same = is == open
		return err
	})
	if err != nil || same {
		return err
	}
	return j.update(func(tx *catalog.Tx) error { return tx.Meta().Put(metaScanOpen, open) })
}
