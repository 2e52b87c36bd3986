package reopen

import (
	"fmt"

	"garner/store"
)

// Fault is something that is not as it should be. Path and What hold bytes of the bag:
// clean them before they reach a terminal.
type Fault struct {
	Path string // in the bag or in the job; "" = the bag
	What string // goes on where the path ends: "is missing"
}

// String returns the fault as a sentence without a full stop.
func (f Fault) String() string {
	if f.Path == "" {
		return f.What
	}
	return f.Path + " " + f.What
}

// Progress tells how far a work has got.
type Progress struct {
	Stage       Stage
	Done, Total int
	Bytes, All  int64 // 0 = they are not counted
}

// Stage is a part of the work.
type Stage string

// The stages of a check, then those of an opening.
const (
	Reading  Stage = "reading the bag"
	Decoding Stage = "looking at small pictures"
	Copying  Stage = "copying"
	Finding  Stage = "finding frames"
)

// RoomError says that there is not room enough for the job.
type RoomError struct{ Needs, Free int64 }

func (e *RoomError) Error() string {
	return fmt.Sprintf("there is not room enough: %d MB are needed, %d MB are free", (e.Needs+999_999)/1_000_000, e.Free/1_000_000)
}

// UnreadError is why nothing of a bag can be believed, without its path: who asked for
// it names it.
type UnreadError struct{ Err error }

func (e *UnreadError) Error() string { return store.Reason(e.Err) }
func (e *UnreadError) Unwrap() error { return e.Err }
