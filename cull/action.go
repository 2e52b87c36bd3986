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

// Merge keeps Frame by itself as the lead of a picture to be made of its moment:
// what else in the moment was not decided by itself becomes part. It belongs to
// the pass keep.
type Merge struct {
	Pass         string
	Frame        ID
	Exact        []ID // where not nil: exactly these frames instead of the rest of the moment
	Shown        map[ID]bool
	RequireShown bool // refuse unless Frame had been drawn
}

// Undo takes back the latest step that stands; Redo does the latest undone one
// again, as long as nothing was done since. Answers, burst keys, corrections of the
// groups and names of scenes are steps, all in one row, in the order in which they
// were made and across passes.
//
// Of is 0 for the latest. A correction or a name may be taken back out of its turn
// by the number of its entry, because each stands for itself.
type (
	Undo struct{ Of uint64 }
	Redo struct{ Of uint64 }
)

// Correct groups frames by hand.
type Correct struct{ Correction }

// The following are corrections in the words of a key: each makes the Correction
// that it means on the groups as they are, one entry and one step of undo.
type (
	// Join makes one moment of the moment that holds Frame and the one before it in
	// the order; with Series, of the kind series.
	Join struct {
		Frame  ID
		Series bool
	}
	// Split cuts the moment that holds Frame before Frame.
	Split struct{ Frame ID }
	// Out makes Frame a moment by itself.
	Out struct{ Frame ID }
	// Apart lets the look-alikes of the moment that holds Frame go.
	Apart struct{ Frame ID }
	// SceneBegin lets a scene begin with the moment that holds Frame or, where one
	// does already, lets the scene before go on.
	SceneBegin struct{ Frame ID }
)

// DefinePass adds a pass, or gives a pass another question or source.
type DefinePass struct{ Pass Pass }

// NameScene names the scene that holds Frame; "" takes the name back.
type NameScene struct {
	Frame ID
	Name  string
}

// Record journals a body's letter, an offset or a correction of something else than
// the groups, which the session keeps but does not interpret. Like passes these are
// not steps of undo: each is put right by another entry of its kind. A correction of
// the groups is Correct, in whatever form it comes.
type Record struct {
	Verb Verb
	Args []string
}

func (Decide) action()      {}
func (DecideBurst) action() {}
func (Only) action()        {}
func (Merge) action()       {}
func (Correct) action()     {}
func (Join) action()        {}
func (Split) action()       {}
func (Out) action()         {}
func (Apart) action()       {}
func (SceneBegin) action()  {}
func (Undo) action()        {}
func (Redo) action()        {}
func (DefinePass) action()  {}
func (NameScene) action()   {}
func (Record) action()      {}
