package job

import (
	"garner/cull"
	"garner/store/catalog"
)

// Layout returns the job in order, as it was last saved.
func (j *Job) Layout() (cull.Layout, error) {
	var l cull.Layout
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		l, err = layoutOf(tx)
		return err
	})
	return l, err
}

func layoutOf(tx *catalog.Tx) (cull.Layout, error) {
	packed, err := tx.Layout().Get()
	if err != nil {
		return cull.Layout{}, err
	}
	var l cull.Layout
	if len(packed.Places) > 0 {
		l.Places = make([]cull.Place, len(packed.Places))
	}
	for i, p := range packed.Places {
		l.Places[i] = cull.Place{
			Frame: cull.ID(p.Frame), Moment: p.Moment, Kind: momentKind(p.Kind), Scene: p.Scene, Corrected: fromStamp(p.Corrected),
		}
	}
	for _, s := range packed.Scenes {
		l.Scenes = append(l.Scenes, cull.Scene{ID: s.ID, Name: s.Name, First: cull.ID(s.First)})
	}
	return l, nil
}

// SaveLayout stores the job in order.
func (j *Job) SaveLayout(l cull.Layout) error {
	packed := catalog.Layout{Places: make([]catalog.Place, len(l.Places))}
	for i, p := range l.Places {
		packed.Places[i] = catalog.Place{
			Frame: string(p.Frame), Moment: p.Moment, Kind: kindCode(p.Kind), Scene: p.Scene, Corrected: toStamp(p.Corrected),
		}
	}
	for _, s := range l.Scenes {
		packed.Scenes = append(packed.Scenes, catalog.Scene{ID: s.ID, Name: s.Name, First: string(s.First)})
	}
	return j.update(func(tx *catalog.Tx) error { return tx.Layout().Put(packed) })
}
