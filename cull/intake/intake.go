// Package intake takes cards, drives and folders into a job: it plans where every
// file goes (package plan), copies each from one reading to every destination and
// reads it back (store/copy), records the sums, and says which cards may be
// formatted, which is the last thing it says and the only thing that can do harm.
//
// # When a card is safe to format
//
// Every user file of it was read from the card in this run, to its end, and has
// been read back, equal, from at least two destinations on different devices (from
// one with SingleCopy). A file that the job had already counts only after its own
// bytes on the card were read and the stored copies read back; a file left out by
// Days only when it was proven in another job. One file that could not be read, a
// link, a folder that could not be opened: the card is not safe. Nor is it when it is
// listed once more at the end and something came, went or changed, when a destination
// no longer lies on the disk that it lay on, or owes sums to its manifest.
package intake

import (
	"time"

	"garner/cull/job"
	"garner/store/vfs"
	"garner/store/volume"
)

// Options say what is taken in, and how. Sources is all that is needed.
type Options struct {
	FS         vfs.FS   // nil = the system's
	Sources    []string // cards, drives and folders
	Also       []string // further destinations, each a folder like the job's
	Days       []string // days to take, "2026-06-13"; none = all
	ProvenIn   []string // folders of other jobs in which files left out by Days are looked for
	SingleCopy bool     // one destination is enough to call a card safe
	DryRun     bool     // plan and say, write nothing
	Only       []string // paths below the single source that are taken; nil = all
	Event      func(Event)
	Now        func() time.Time
	Settings   job.Settings // the studio's and the job's: letters, photographers

	VolumeOf func(path string) (volume.Volume, error) // nil = volume.Of
}

// EventKind says what an event is about.
type EventKind uint8

// The kinds of events.
const (
	Planned  EventKind = iota // the plan of all cards is made; Card.Files and Card.Bytes are known
	FileDone                  // File is what became of one file
	Progress                  // bytes went by; at most ten a second
	CardDone                  // Card is finished: Card.Safe and Card.Why are known
)

// Event is news from a run. Events come one at a time, whatever goroutine they are from.
type Event struct {
	Kind EventKind
	Card *Card // whose event it is; nil for Planned
	All  []*Card
	File *File

	// Destinations are as they are now; Free is what it was before the first byte.
	Destinations []Destination
}

// FileState says what became of a file.
type FileState string

// The states of files.
const (
	Copied  FileState = "copied"  // now, to at least one destination, and is at all of them
	Known   FileState = "known"   // was there already, at all of them, with the same bytes
	Aside   FileState = "aside"   // the damaged one of two twins, kept beside the job's files
	LeftOut FileState = "left"    // of another day
	Failed  FileState = "failed"  // not at all destinations, or not read
	Undone  FileState = "undone"  // not begun, or not finished, when the work was interrupted
	Skipped FileState = "skipped" // nothing garner copies: litter, a link, a device
)

// File is what became of one file of a card.
type File struct {
	Path     string // below the card
	To       string // below every destination; "" where it was not copied
	Size     int64
	Sum      string // SHA-256 in hex; "" when it was not read to its end
	State    FileState
	Probably bool     // of a dry run: only size and both ends were compared
	Notes    []string // sentences: another name, another round, a version, a twin
	Why      string   // why it failed, was left out or skipped
	Proven   int      // devices from which its bytes were read back
	Places   []Place  // per destination
}

// Place is a file at one destination.
type Place struct {
	State      string // "copied", "present", "failed", ""
	FromMedium bool   // read back past the system's cache
	Why        string
}

// Card is one source, with what is known of it and what became of it. The fields
// of progress change while the run lasts and are read only inside Event.
type Card struct {
	Number int    // from 1, in the order given
	Root   string // as given
	Label  string // of the volume; "" = none
	DCIM   bool
	Bodies []string // "A Varnholt V6 00417302"; by letter
	First  string   // name of the first frame in time, and of the last
	Last   string
	From   time.Time // capture times, as the bodies' clocks showed them
	Until  time.Time
	Frames int // exposures
	Files  int // user files
	Bytes  int64
	Days   []Day
	Notes  []string // sentences about the card: slots compared, another week's frames
	Litter []string // of the operating system, not copied

	// How far it is.
	DoneFiles  int
	DoneBytes  int64         // of the source's, read
	Began      time.Time     // zero = not yet
	PerSecond  float64       // bytes
	Left       time.Duration // 0 = not known yet
	Activities []string      // per destination: "writing", "syncing", "reading back", ""

	// How it ended.
	Ended     bool
	Copied    int
	Known     int
	Aside     int
	LeftOut   int
	Failed    []File
	Took      time.Duration
	Safe      bool
	Why       []string // why it is not safe, in sentences
	Remarks   []string // what to know although it is safe: read back from the cache, memory only
	CopyBytes int64    // written to each destination
}

// Day is how many files of a card were taken on a day.
type Day struct {
	Day   string // "2026-06-13"
	Files int
	Taken bool // is copied
}

// Destination is one folder that everything goes to; the job is the first.
type Destination struct {
	Root  string
	Label string // of its volume, or its device
	Disk  string
	Free  int64
	Needs int64  // bytes
	Down  string // why nothing more was written to it
	Swept int    // partials of an earlier run that were removed
}

// Report is what a run came to.
type Report struct {
	Cards        []*Card
	Destinations []Destination
	Devices      int      // different ones among the destinations
	Alarms       []string // frames or cards that seem to be missing
	Warnings     []string
	Took         time.Duration
	Interrupted  bool
}

// Bad counts the files that failed.
func (r Report) Bad() int {
	n := 0
	for _, c := range r.Cards {
		n += len(c.Failed)
	}
	return n
}
