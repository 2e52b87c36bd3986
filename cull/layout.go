package cull

// MomentKind says why frames are one moment.
type MomentKind string

// The kinds of moment of DESIGN: frames taken in one go that look alike, frames
// that are material for one picture, a lone frame.
const (
	Burst  MomentKind = "burst"
	Series MomentKind = "series"
	Single MomentKind = "single"
)

// SeriesKind says what the frames of a series are material for.
type SeriesKind string

// The kinds of series. Together is what a person joined as one, such as a group
// of people of whom the best faces are to be merged.
const (
	Bracket    SeriesKind = "bracket"     // exposures, in steps
	Panorama   SeriesKind = "panorama"    // views side by side
	FocusStack SeriesKind = "focus stack" // distances
	Together   SeriesKind = "together"
)

// Layout is the job in order: every frame once, moments and scenes in one run
// each, the moments of a set of look-alikes beside each other. It is derived (from
// times, looks and corrections) and never journalled.
type Layout struct {
	Places []Place // stable order: scene, then the time of the look-alikes' first moment, then corrected time, then name
	Scenes []Scene // in order; Scene.ID is the index
}

// Place is where one frame stands in the layout.
type Place struct {
	Frame     ID
	Moment    int // index of the moment, from 0, rising along Places
	Kind      MomentKind
	Series    SeriesKind // of a moment of the kind Series; else ""
	Alike     int        // the set of look-alikes that the moment belongs to, from 1; 0 = none
	Scene     int        // index into Layout.Scenes
	Corrected Stamp
}

// Scene is a stretch of the shoot in one place and light.
type Scene struct {
	ID    int
	Name  string // "01", "02", … until the user names it
	First ID     // first frame: a name given by hand hangs on it
}
