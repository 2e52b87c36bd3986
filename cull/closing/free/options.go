package free

import (
	"errors"
	"fmt"

	"garner/store/vfs"
	"garner/store/volume"
)

// Options say what is asked for.
type Options struct {
	Bags       []string // folders of bags; none = those that the job has noted
	Unshown    bool     // also what was dropped unseen
	Unfinished bool     // although keepers have no finished picture
	Retire     bool     // originals of keepers too
	DryRun     bool     // the job was opened to be read

	Progress func(Progress) // nil = nobody wants to know
	Gone     func(File)     // told of each original that was removed
	Stays    func(Stay)     // told of each that turned out to stay

	FS       vfs.FS                              // nil = the machine's
	VolumeOf func(string) (volume.Volume, error) // nil = volume.Of
	enter    func(root, path string) (folder, string, error)
}

func (o Options) withDefaults() Options {
	if o.FS == nil {
		o.FS = vfs.OS{}
	}
	if o.VolumeOf == nil {
		o.VolumeOf = volume.Of
	}
	if o.enter == nil {
		o.enter = enter
	}
	if o.Progress == nil {
		o.Progress = func(Progress) {}
	}
	if o.Gone == nil {
		o.Gone = func(File) {}
	}
	if o.Stays == nil {
		o.Stays = func(Stay) {}
	}
	return o
}

// Progress says how far the work is.
type Progress struct {
	Bag            string // that is being read whole; "" = originals are being freed
	Files, OfFiles int
	Bytes, OfBytes int64
}

// What stops everything before a file is touched.
var (
	ErrNoBag    = errors.New("the job is not archived: there is no bag that could stand for what goes")
	ErrNoTwoBag = errors.New("retiring keepers takes two bags of the job on two disks")
)

// BagError says what is wrong with a bag.
type BagError struct {
	Dir      string
	Why      string   // follows the name of the bag
	Findings []string // of the check
	Away     bool     // it is not there
}

func (e *BagError) Error() string { return fmt.Sprintf("the bag %s %s", e.Dir, e.Why) }

// UnfinishedError says that keepers have no finished picture yet.
type UnfinishedError struct {
	Names []string // of their frames, in the order of the job
}

func (e *UnfinishedError) Error() string {
	if len(e.Names) == 1 {
		return "a keeper has no finished picture yet"
	}
	return fmt.Sprintf("%d keepers have no finished picture yet", len(e.Names))
}
