package job

import (
	"slices"

	"garner/cull"
	"garner/store/catalog"
)

// Layout returns the job in order, as it was last saved and with the corrections and
// names that were given by hand.
func (j *Job) Layout() (cull.Layout, error) {
	var l cull.Layout
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		l, err = layoutOf(tx)
		return err
	})
	return l, err
}

// AutoLayout returns the layout as it was last saved, without corrections: what
// [cull.Session.SetLayout] takes, and what a new grouping is held against.
func (j *Job) AutoLayout() (cull.Layout, error) {
	var l cull.Layout
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		l, err = autoLayoutOf(tx)
		return err
	})
	return l, err
}

// layoutOf corrects the saved layout without reading the answers.
func layoutOf(tx *catalog.Tx) (cull.Layout, error) {
	l, err := autoLayoutOf(tx)
	if err != nil {
		return l, err
	}
	entries, err := correctionsOf(tx)
	if err != nil {
		return l, err
	}
	if !slices.ContainsFunc(entries, func(e cull.Entry) bool { return e.Verb == cull.VerbCorrect || e.Verb == cull.VerbScene }) {
		return l, nil
	}
	aliases, err := aliasesOf(tx)
	if err != nil {
		return l, err
	}
	return replay(l, nil, aliases, entries, nil).Layout(), nil
}

func autoLayoutOf(tx *catalog.Tx) (cull.Layout, error) {
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
			Frame: cull.ID(p.Frame), Moment: p.Moment, Kind: momentKind(p.Kind), Series: seriesKind(p.Series), Alike: p.Alike,
			Scene: p.Scene, Corrected: fromStamp(p.Corrected),
		}
	}
	for _, s := range packed.Scenes {
		l.Scenes = append(l.Scenes, cull.Scene{ID: s.ID, Name: s.Name, First: cull.ID(s.First)})
	}
	return l, nil
}

// SaveLayout stores the job in order as it was grouped. Corrections are not part of
// it: they are made again whenever it is read. How it was made is not known
// afterwards (see [Job.SaveGrouping]).
func (j *Job) SaveLayout(l cull.Layout) error { return j.SaveGrouping(l, 0, Since{}) }

func packLayout(l cull.Layout) catalog.Layout {
	packed := catalog.Layout{Places: make([]catalog.Place, len(l.Places))}
	for i, p := range l.Places {
		packed.Places[i] = catalog.Place{
			Frame: string(p.Frame), Moment: p.Moment, Kind: kindCode(p.Kind), Series: seriesCode(p.Series), Alike: p.Alike,
			Scene: p.Scene, Corrected: toStamp(p.Corrected),
		}
	}
	for _, s := range l.Scenes {
		packed.Scenes = append(packed.Scenes, catalog.Scene{ID: s.ID, Name: s.Name, First: string(s.First)})
	}
	return packed
}
