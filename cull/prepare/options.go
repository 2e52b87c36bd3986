package prepare

import (
	"runtime"
	"time"

	"garner/cull"
)

// Options steer one Run. The zero value is of use.
type Options struct {
	Workers    int              // frames that are worked on at once; 0 = one less than the cores
	CacheBytes int64            // what the cache may take of the disk; 0 = as cache.Limit says of what is free there, negative = nothing
	Now        func() time.Time // for rates and pauses between batches; nil = time.Now

	// The functions below may be nil. They are called one at a time, by the
	// goroutine that called Run.

	Progress func(Progress)    // after every step
	Frame    func(FrameReport) // once for each frame, in the order of names, urgent ones first
	Warn     func(string)      // a sentence that a person should see once
	Saved    func(Saved)       // after frames or their order were saved
	Urgent   func() []cull.ID  // frames of which pictures are wanted next, the most urgent first; asked before each frame
}

// Saved is what has been saved in the job since the last call.
type Saved struct {
	Frames []cull.Frame // those that are new, have changed or were worked on; nil = more has changed, read all anew
	Layout bool         // there is a new order, and with it letters and aliases may be new
}

// Stage is a part of the work.
type Stage string

// The stages, in their order.
const (
	Scanning Stage = "scanning" // Done and Total count files
	Pictures Stage = "pictures" // Done and Total count frames
	Grouping Stage = "grouping"
)

// Progress says how far a Run has come.
type Progress struct {
	Stage       Stage
	Done, Total int
	PerSecond   float64       // frames that were worked on, cached ones left out; 0 = not known yet
	Left        time.Duration // at that rate; meaningful if PerSecond > 0
}

// FrameReport is what became of one frame.
type FrameReport struct {
	Frame  cull.Frame
	Letter string // of its body; "" = none
	Cached bool   // everything was there already
	Err    error  // why there is no picture; nil = there is one
}

// Summary is what a Run did.
type Summary struct {
	Frames, New, Gone int // in the job now; changed or new since the last time; without any file now
	Unseen            int // with files in folders that could not be read: they stay as they were
	Others            int // files that belong to no frame
	Bodies            int

	Cached     int // frames of which everything was there
	Made       int // frames that a picture was made of
	Renditions int // of them, those that got a rendition
	Failed     int // frames that cannot be shown
	Moments    int
	Scenes     int

	CacheFull bool          // the disk was full: the rest was made without a cache
	Took      time.Duration // all of it
	PerSecond float64       // frames made in a second of the stage pictures
	Warnings  []string      // what Warn was told
}

func (o Options) withDefaults() Options {
	if o.Workers <= 0 {
		o.Workers = max(1, runtime.GOMAXPROCS(0)-1)
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Progress == nil {
		o.Progress = func(Progress) {}
	}
	if o.Frame == nil {
		o.Frame = func(FrameReport) {}
	}
	if o.Saved == nil {
		o.Saved = func(Saved) {}
	}
	return o
}
