package job

// EvidenceSettings are what a person has set about the measurements: the table
// [evidence]. Nil = not set. Whether faces may be looked for is no setting: somebody
// answers it for each job.
type EvidenceSettings struct {
	Measure          *bool `toml:"measure"`            // whether the station measures in the background; true
	Marks            *bool `toml:"marks"`              // whether frames are marked with what was measured; true
	StartAtFavourite *bool `toml:"start_at_favourite"` // whether a moment is entered at the frame that the measurements favour; false
}

// evidenceForm says what the table may hold.
const evidenceForm = `[evidence] must hold true or false, as in marks = false; there are measure, marks and start_at_favourite`

func (e EvidenceSettings) over(studio EvidenceSettings) EvidenceSettings {
	for _, s := range []struct{ own, under **bool }{{&e.Measure, &studio.Measure}, {&e.Marks, &studio.Marks}, {&e.StartAtFavourite, &studio.StartAtFavourite}} {
		if *s.own == nil {
			*s.own = *s.under
		}
	}
	return e
}

// said returns a setting, or what it is where nothing is set.
func said(set *bool, usual bool) bool {
	if set != nil {
		return *set
	}
	return usual
}

// Measures, Marked and Favoured are the three settings.
func (e EvidenceSettings) Measures() bool { return said(e.Measure, true) }
func (e EvidenceSettings) Marked() bool   { return said(e.Marks, true) }
func (e EvidenceSettings) Favoured() bool { return said(e.StartAtFavourite, false) }
