package reopen

import (
	"errors"

	"garner/store/vfs"
	"garner/store/volume"
)

// Options steer one Run. The zero value is of use.
type Options struct {
	State    string         // folder that stands for JOB/.garner; "" = in the job
	Progress func(Progress) // nil = nobody wants to know
	Failed   func(Fault)    // told of each file that cannot be had
	Remark   func(string)   // a sentence that a person should see

	VolumeOf func(string) (volume.Volume, error) // nil = volume.Of
	fsys     vfs.FS
}

func (o Options) withDefaults() Options {
	if o.Progress == nil {
		o.Progress = func(Progress) {}
	}
	if o.Failed == nil {
		o.Failed = func(Fault) {}
	}
	if o.Remark == nil {
		o.Remark = func(string) {}
	}
	if o.VolumeOf == nil {
		o.VolumeOf = volume.Of
	}
	if o.fsys == nil {
		o.fsys = vfs.OS{}
	}
	return o
}

// What is refused before anything is written.
var (
	ErrNotEmpty = errors.New("there is something in the folder already: a job is made in a folder that is new or empty")
	ErrOther    = errors.New("the folder is half of a job that was being made from another bag, or from this one as it was before")
	ErrInside   = errors.New("bag and job lie one inside the other")
)

// Summary is what a Run did.
type Summary struct {
	Name     string // of the job that was archived
	Run      int    // number of the record that was used
	Resumed  bool   // an interrupted run was completed
	Frames   int
	Smalls   int   // originals that are not in the bag: their small pictures are in the job
	Copied   int   // files, small pictures among them
	Present  int   // that an earlier run had copied
	Bytes    int64 // of both
	LeftOut  int   // files of the job that the bag has not, nor a picture of them
	Bypassed bool  // all was read back from the device, not from the system's cache
	Failed   []Fault
	Unasked  bool     // the other copy's yes about faces does not hold here
	Also     []string // folders that everything went to there, and does not here
}
