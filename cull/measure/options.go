package measure

import (
	"runtime"
	"time"

	"garner/cull"
)

// Options steer one Run. The zero value is of use.
type Options struct {
	Workers int              // frames that are measured at once; 0 = one less than the cores, at least one
	Now     func() time.Time // for rates and the age of what is not saved; nil = time.Now

	Urgent func() []cull.ID // frames that somebody looks at, the most urgent first; asked before each frame; may be nil

	// Busy reports whether somebody works: then nothing new is begun until it says
	// otherwise, which it is asked often enough. It is called by several goroutines
	// and has to be quick; nil = nobody does.
	Busy func() bool

	// The functions below may be nil. They are called one at a time, by the
	// goroutine that called Run.

	Progress func(Progress)                  // after every frame, and when it begins to wait
	Saved    func(map[cull.ID]cull.Measures) // what has been saved; a part that is not known is as it was
	Warn     func(string)                    // a sentence that a person should see once
	Frame    func(id cull.ID, cannot error)  // each frame that was measured; cannot = why something of it could not be
}

// Progress says how far a Run has come.
type Progress struct {
	Done, Total int           // frames, with those that were measured before
	Failed      int           // frames of which something could not be measured
	Faces       bool          // faces are looked for
	People      bool          // templates are made
	Waiting     bool          // somebody works
	PerSecond   float64       // frames, without the time it waited; 0 = not known yet
	Left        time.Duration // at that rate; meaningful if PerSecond > 0
}

// Summary is what a Run did.
type Summary struct {
	Frames    int // that can be measured
	Known     int // of them, those of which nothing was missing
	Measured  int
	Failed    int // frames of which something could not be measured; they are no error
	Faces     int // faces that were found
	Templates int
	Took      time.Duration
	PerSecond float64
	Warnings  []string // what Warn was told
}

func (o Options) withDefaults() Options {
	if o.Workers <= 0 {
		o.Workers = max(1, runtime.GOMAXPROCS(0)-1)
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Busy == nil {
		o.Busy = func() bool { return false }
	}
	if o.Progress == nil {
		o.Progress = func(Progress) {}
	}
	if o.Saved == nil {
		o.Saved = func(map[cull.ID]cull.Measures) {}
	}
	if o.Frame == nil {
		o.Frame = func(cull.ID, error) {}
	}
	return o
}
