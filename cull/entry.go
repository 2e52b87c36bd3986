package cull

import "time"

// Answer is what was decided for one frame in one pass.
type Answer uint8

// The answers. Part is material for a merge and belongs to the pass keep only.
const (
	Open Answer = iota
	Yes
	No
	Part
)

// Decision is the standing answer for one frame in one pass.
type Decision struct {
	Answer   Answer
	Who      string
	At       time.Time // UTC, whole milliseconds
	Shown    bool      // the frame had been drawn when it was decided
	Explicit bool      // decided by itself, not by a burst key
	Seq      uint64    // journal entry that made it
}

// Verb says what a journal entry did.
type Verb string

// The verbs of the journal. Burst, only and merge are expanded into their frames
// when pressed, so that regrouping changes no history.
const (
	VerbAnswer  Verb = "answer"  // one frame by itself
	VerbBurst   Verb = "burst"   // a whole moment
	VerbOnly    Verb = "only"    // keep one, drop the open rest of its moment
	VerbMerge   Verb = "merge"   // keep one as lead, the open rest of its moment is part
	VerbUndo    Verb = "undo"    // takes back entry Of
	VerbRedo    Verb = "redo"    // does entry Of again
	VerbPass    Verb = "pass"    // defines a pass
	VerbLetter  Verb = "letter"  // gives a body its letter
	VerbOffset  Verb = "offset"  // sets a body's clock offset
	VerbScene   Verb = "scene"   // names a scene
	VerbCorrect Verb = "correct" // any other correction by hand, of the groups (Correction) or not
)

// Entry is one line of the journal: something a person did, with everything
// needed to replay or to undo it.
type Entry struct {
	Seq     uint64    // 1, 2, 3, …; given by the catalogue when it is committed
	At      time.Time // UTC, whole milliseconds
	Who     string
	Verb    Verb
	Pass    string   // for answer, burst, only, merge, undo, redo of those; else ""
	Changes []Change // frames whose answer changed; empty for other verbs
	Of      uint64   // for undo and redo: the entry meant
	Args    []string // for pass, letter, offset, scene, correct: the words after the verb
}

// Change is what an entry did to one frame.
type Change struct {
	Frame         ID
	Before, After Answer
	Shown         bool // the frame had been drawn
	Explicit      bool
}

// Pass is one yes/no question asked of a set of frames.
type Pass struct {
	Name     string
	Question string // as shown; "" = the name
	Source   Source
}

// Source says which frames a pass asks about.
type Source struct {
	Of     string // "" = all frames, else the name of an earlier pass
	Answer Answer // with Of: the answer there that lets a frame in
}

// KeepPass is the first pass, over all frames; it always exists.
const KeepPass = "keep"
