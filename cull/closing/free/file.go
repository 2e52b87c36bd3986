package free

import "garner/cull"

// File is an original that may go.
type File struct {
	Path  string // in the job
	Frame cull.ID
	Name  string // of the frame
	Bytes int64
	Sum   [32]byte // SHA-256, as every bag has it
	Kept  bool     // of a frame that was kept: it is retired

	bags []string // by bag, its path there: of the small picture or, where Kept, of the original
}

// Stay is an original of a dropped frame (or of a kept one, where those are retired)
// that stays.
type Stay struct {
	Path  string
	Frame cull.ID
	Bytes int64
	Why   Why
	What  string // more about it, where there is more to say
}

// Why is the reason for which an original stays.
type Why int

// The reasons. From Differs on they are faults: the file was to go, and something is
// not as it should be.
const (
	NotShown    Why = iota // the frame was dropped unseen
	TakenBack              // a later pass, such as the rescue, said yes to the dropped frame
	Finished               // a finished picture shows the frame
	NoPicture              // no JPEG in the file could stand for it
	NotArchived            // a bag has no small picture of it: it was dropped later
	NotTwice               // a bag does not have the original itself
	Shared                 // another frame, or another name, leads to the file as well
	Changed                // answers or frames changed meanwhile
	Differs                // the file is not the one that was archived
	Unproved               // a copy in a bag could not be proved
	Unread                 // the file could not be read
	NotKept                // the small picture could not be put into the job
	NotNoted               // the journal could not be written
	NotRemoved             // the system did not remove it
)

// Fault reports whether something is wrong, as against a rule that keeps the file.
func (w Why) Fault() bool { return w >= Differs }

// whys are the reasons in words that follow a number of originals.
var whys = [...]string{
	NotShown:    "dropped before the frame had been shown",
	TakenBack:   "of a frame that a later pass took back",
	Finished:    "of a frame that a finished picture shows",
	NoPicture:   "without a whole JPEG inside that could stand for it",
	NotArchived: "not in every bag as a small picture yet",
	NotTwice:    "not itself in every bag",
	Shared:      "with another name or frame beside",
	Changed:     "decided anew meanwhile",
	Differs:     "not the file that was archived",
	Unproved:    "of which a copy in a bag could not be proved",
	Unread:      "that could not be read",
	NotKept:     "whose small picture could not be put into the job",
	NotNoted:    "that could not be noted in the journal",
	NotRemoved:  "that the system did not remove",
}

// String says why, as a phrase that follows "an original".
func (w Why) String() string { return whys[w] }
