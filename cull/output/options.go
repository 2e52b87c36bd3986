package output

import (
	"runtime"
	"time"
)

// Action says what became of a file, or of a picture.
type Action string

// The actions.
const (
	Written   Action = "written"
	Unchanged Action = "unchanged" // nothing that goes into it has changed
	Wanted    Action = "would be written"
	Kept      Action = "kept" // somebody has changed it since it was cut
	Failed    Action = "failed"
	Left      Action = "left" // in a set's folder, of no picture that is there now
)

// Damaged is the remark on a file that is cut anew because what was there could not be
// decoded any more.
const Damaged = "was damaged since it was cut, and is cut anew"

// Line is one file of a set, or, with an empty Set, a picture that cannot be cut.
type Line struct {
	Set     string
	Picture string // path in finished/; "" = of none
	File    string // name in the set's folder
	Number  int    // of the picture; 0 = it has none
	Action  Action
	Reason  string   // why it failed
	Cause   error    // what keeps others from being cut, or may keep them, too: ErrFull, FolderError, StampError, FormError; else nil
	Remarks []string // what a person should know

	Width, Height int
	Bytes         int64
	Quality       int
}

// Progress says how far a Run has come.
type Progress struct {
	Reading     bool          // pictures are still being looked at, nothing is cut yet
	Done, Total int           // pictures
	Failed      int           // files
	PerSecond   float64       // pictures; 0 = not known yet
	Left        time.Duration // at that rate; meaningful if PerSecond > 0
}

// Summary is what a Run did.
type Summary struct {
	Pictures  int
	Decodes   int            // of pictures; one for each that is cut, however many sets there are
	Files     map[Action]int // by what became of them
	Bytes     int64          // that were written
	Cannot    int            // pictures, folders and sets that nothing can be made of
	Kept      []string       // files that somebody has changed, as "SET/FILE"
	Others    []string       // files in finished/ of kinds that are not read
	ReadBack  bool           // names were read back from the files of the sets
	Took      time.Duration
	PerSecond float64
}

// Failures counts what was listed as failed.
func (s Summary) Failures() int { return s.Files[Failed] + s.Cannot }

// Options steer one Run. The zero value cuts all sets.
type Options struct {
	Sets   []Set // as Choose gives them; nil = those of the job's settings that are not to be skipped
	DryRun bool  // says what would be done and writes nothing
	Force  bool  // cuts what has not changed, too

	Workers  int   // pictures at once; 0 = one for each processor
	MaxBytes int64 // of memory that pictures under way may take; 0 = 200 MB for each worker
	Ties     Ties  // nil = by the bodies of the job alone
	Now      func() time.Time

	// Called one at a time, by the goroutine that called Run; may be nil.
	Line     func(Line)
	Progress func(Progress)
}

// workerBytes is what a picture of 24 megapixels takes with its three sets.
const workerBytes = 200 << 20

func (o Options) withDefaults() Options {
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.MaxBytes <= 0 {
		o.MaxBytes = int64(o.Workers) * workerBytes
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Line == nil {
		o.Line = func(Line) {}
	}
	if o.Progress == nil {
		o.Progress = func(Progress) {}
	}
	return o
}
