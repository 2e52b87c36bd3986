// Package plan decides where each file of a card goes, before the first byte is
// copied: which files a job has already, which are another exposure under a taken
// name, which are the other slot's twin, damaged or whole, and which stay behind.
//
// It reads nothing and writes nothing. What it says of contents is probable: two
// files of one size with one digest of both ends are taken for equal until the
// copy has read them.
//
// # Where files go
//
//	DCIM/100CANON/IMG_0001.CR3   A/IMG_0001.CR3        a DCF object, all of its files together
//	DCIM/101CANON/IMG_0001.CR3   A2/IMG_0001.CR3       another exposure under a taken name
//	PRIVATE/M4ROOT/CLIP/…        clips/A/PRIVATE/…     everything of a card that is outside DCIM
//	Day one/x.NEF (no DCIM)      C/Day one/x.NEF       a drive keeps its folders
//	no body is known             unknown/…
//	a damaged twin               aside/A/IMG_0001.CR3
//
// Two names that differ only in case or in Unicode normal form count as one name,
// on every file system; names that some file system refuses are written so that
// every one takes them.
package plan

import (
	"time"

	"garner/cull/scan"
)

// File is one file of a source.
type File struct {
	Path string // below its source, "/"-separated, the bytes that the system gives
	Size int64
	Mod  time.Time
	Ends [32]byte // store.EndsHash; meaningful if Err is nil
	Shot scan.Exposure
	Err  error // the ends or the head could not be read: the copy will try again
}

// Source is a card, drive or folder.
type Source struct {
	Name  string // for sentences: "card 1 (EOS_DIGITAL)"
	DCIM  bool   // has a folder DCIM at its top
	Files []File // user files, by path; nothing of the operating system
}

// Have is a file that the job (or only one of its other destinations) has.
type Have struct {
	Path    string // below the job, "/"-separated
	Size    int64
	Ends    [32]byte
	HasEnds bool // ends were read; they are, for every file of a size that a source has
	Shot    scan.Exposure
	Aside   bool // lies under aside/; so does a path that says so
	Damaged bool // known to be the damaged one of two twins
}

// Options steer a plan.
type Options struct {
	Letters map[string]string // body key → letter, for every body of the sources
	// Days, if not empty, are the days ("2026-06-13", from five in the morning) that
	// are taken; everything else is left out.
	Days []string
	// Damaged compares two twins that differ and says which of the two is damaged,
	// as far as it can be told: -1 the first, 1 the second, 0 unknown. nil = never.
	Damaged func(a, b Ref) int
}

// Ref names a file: of a source, or of the job (Source < 0).
type Ref struct {
	Source int // index into the sources; -1 = the job
	Path   string
}

// Action says what is to be done with a file.
type Action uint8

// The actions.
const (
	Copy  Action = iota // to Step.To
	Known               // its content is probably at Step.To already, or will be after Step.After; if that fails, it is to be copied there
	Aside               // the damaged one of two twins: to Step.To, which is under aside/
	Leave               // taken on another day, or on no day that is known; To is empty
)

// Note says something about a file that a person should know. The paths for its
// sentence are Step.Other and Step.To.
type Note uint8

// The notes.
const (
	NewRound   Note = iota + 1 // another exposure had the name: went to a folder of its own
	NewName                    // a name that not every file system takes was changed
	Version                    // the exposure of Other, with other bytes, size, kind or software
	TwinBroken                 // of two twins one is damaged: this one if it goes aside, else Other
	TwinUnsure                 // differs from its twin Other, and nobody can tell which is damaged: goes aside
	Healed                     // could not be read here; Other, of another source, can stand in for it
)

// Step is what happens with one file of a source.
type Step struct {
	Source int // index into the sources
	File   int // index into the source's files
	Action Action
	To     string // path below every destination
	After  int    // index of an earlier step with the same To: equal by all that was read, or one of them could not be read; -1 = none
	Twin   int    // index of a step of another source with, as far as known, the same bytes, whole: it can stand in; -1 = none
	Day    string // the day it was taken on ("" = not known)
	Letter string // of its body; "" = unknown
	Notes  []Note
	Other  Ref // what the notes speak of
}

// Plan is the whole of it, in the order of the sources and their files.
type Plan struct {
	Steps []Step
	Days  []map[string]int // per source: day → files
	Slots []Slots
}

// Slots compares two sources that hold the same body's exposures: two slots, both
// raw or one raw and one JPEG. Where both lack something there are two of them,
// where neither does there is one without Missing.
type Slots struct {
	A, B    int      // indexes of the sources
	Letter  string   // of the body
	Shared  int      // exposures that both have
	Missing []string // names (A/IMG_0001), by time, that A has and B lacks; only where B was meant to have them
}
