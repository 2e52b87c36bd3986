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

// Layout is the job in order: every frame once, moments and scenes in one run
// each. It is derived (from times, fingerprints and corrections) and never
// journalled.
type Layout struct {
	Places []Place // stable order: corrected time, then name
	Scenes []Scene // in order; Scene.ID is the index
}

// Place is where one frame stands in the layout.
type Place struct {
	Frame     ID
	Moment    int // index of the moment, from 0, rising along Places
	Kind      MomentKind
	Scene     int // index into Layout.Scenes
	Corrected Stamp
}

// Scene is a stretch of the shoot in one place and light.
type Scene struct {
	ID    int
	Name  string // "01", "02", … until the user names it
	First ID     // first frame: a name given by hand hangs on it
}
