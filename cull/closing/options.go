package closing

import (
	"fmt"
	"runtime"
	"time"

	"garner/store/volume"
)

// Action says what became of a file of the job.
type Action string

// The actions.
const (
	Added   Action = "added"         // to a bag that lacked it
	Present Action = "present"       // every bag has it
	Smaller Action = "small picture" // of a dropped frame: what the bags have is its small picture
	Passed  Action = "left out"      // it is not kept, and File.Why says why not
	Failed  Action = "failed"
)

// File is one file of the job and what became of it.
type File struct {
	Path   string // in the job
	Bag    string // where it lies in the bags, or its small picture does; "" = nowhere
	Action Action
	Why    string
	Bytes  int64
}

// Stage is a part of the work.
type Stage string

// The stages, in their order. Bytes are counted of those that are copied or read.
const (
	Preparing Stage = "preparing"
	Looking   Stage = "looking at files"
	Making    Stage = "small pictures" // Done and Total count originals of dropped frames
	Copying   Stage = "copying"
	Writing   Stage = "record"
	Checking  Stage = "reading back"
)

// Progress says how far a Run has come.
type Progress struct {
	Stage       Stage
	Place       string // that is read back; "" = all of them
	Done, Total int    // files
	Bytes, All  int64  // 0 = not counted
}

// Place is what became of the bag in one folder.
type Place struct {
	Dir      string // of the bag
	Added    int    // files that were put into it now
	Bytes    int64  // of those
	Held     int    // files that are in it now, as far as it got
	Proven   bool   // every byte in it was read back in this run
	Bypassed bool   // from the device, not from the system's cache
	Err      error  // why it is not whole; nil otherwise
}

// Summary is what a Run did.
type Summary struct {
	Run      int  // number of the record; 0 = there is none yet
	New      bool // that record was written now
	Places   []Place
	Files    map[Action]int
	Bytes    map[Action]int64 // of the files in the job
	Small    int64            // bytes of small pictures that were made now
	Whole    []Left           // originals of dropped frames of which no small picture could be made: they are kept whole
	Left     []Left           // what a bag does not get
	Sets     int              // files of sets that were not asked for
	Changed  []string         // files that appeared, changed or vanished meanwhile
	Remarks  []string
	Safe     bool     // the job's folder may be deleted
	Why      []string // why not, in sentences
	Took     time.Duration
	Unlooked int // frames that nothing finds by what they look like: no picture of them was made yet
}

// Failures counts what is not in a bag as it should be.
func (s Summary) Failures() int {
	n := s.Files[Failed]
	for _, p := range s.Places {
		if p.Err != nil {
			n++
		}
	}
	return n
}

// Options steer one Run.
type Options struct {
	Dirs   []string // folders that get a bag of the job each; at least one
	Sets   bool     // the sets that were cut go along
	Small  int      // pixels that the long edge of small pictures is brought down to; 0 = they stay as the camera made them
	DryRun bool     // says what would be done and writes nothing

	Workers  int // small pictures that are made at once; 0 = one for each processor
	Now      func() time.Time
	VolumeOf func(path string) (volume.Volume, error)

	// Called one at a time, by the goroutine that called Run; may be nil.
	File     func(File)
	Progress func(Progress)
	Remark   func(string) // a sentence that a person should see once
}

func (o Options) withDefaults() Options {
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.VolumeOf == nil {
		o.VolumeOf = volume.Of
	}
	if o.File == nil {
		o.File = func(File) {}
	}
	if o.Progress == nil {
		o.Progress = func(Progress) {}
	}
	if o.Remark == nil {
		o.Remark = func(string) {}
	}
	return o
}

func (r *runner) remark(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	r.sum.Remarks = append(r.sum.Remarks, text)
	r.o.Remark(text)
}
