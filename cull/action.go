package cull

// Action is something a person asks of a Session: one of the types below.
type Action interface{ action() }

// Decide answers frames each by itself. Several frames of one Decide are one
// entry and one step of undo.
type Decide struct {
	Pass         string
	Frames       []ID
	Answer       Answer
	Shown        bool // the frames had been drawn; a program without a screen says false
	RequireShown bool // refuse unless Shown: the station's single-frame keys
}

// DecideBurst answers the moment that holds Frame, as far as its frames have
// not been decided by themselves.
type DecideBurst struct {
	Pass   string
	Frame  ID
	Exact  []ID // where not nil: exactly these frames instead of the moment
	Answer Answer
	Shown  map[ID]bool // frames that had been drawn
}

// Only keeps Frame by itself and drops what else in its moment was not decided
// by itself, including what a burst key had kept.
type Only struct {
	Pass         string
	Frame        ID
	Exact        []ID // where not nil: exactly these frames instead of the rest of the moment
	Shown        map[ID]bool
	RequireShown bool // refuse unless Frame had been drawn
}

// Undo takes back the latest answer, burst or only that stands; Redo does the
// latest undone one again, as long as nothing was decided since. Both work
// across passes, in the order in which things were decided.
type (
	Undo struct{}
	Redo struct{}
)

// DefinePass adds a pass, or gives a pass another question or source.
type DefinePass struct{ Pass Pass }

// NameScene names the scene that holds Frame; "" takes the name back.
type NameScene struct {
	Frame ID
	Name  string
}

// Record journals a body's letter, an offset or a correction, which the session
// keeps but does not interpret. Like passes and scene names these are not
// steps of undo: undo belongs to the answers, and each of these is put right by
// another entry of its kind.
type Record struct {
	Verb Verb
	Args []string
}

func (Decide) action()      {}
func (DecideBurst) action() {}
func (Only) action()        {}
func (Undo) action()        {}
func (Redo) action()        {}
func (DefinePass) action()  {}
func (NameScene) action()   {}
func (Record) action()      {}
