package output

import (
	"errors"
	"fmt"

	"garner/store"
)

// This file has what keeps not one file but a whole set, or all that are still to come,
// from being cut. Each of their files is a line with the same cause, so that whoever
// shows lines may count them.

// ErrFull says that there was no room for a file. What was cut before is kept.
var ErrFull = errors.New("there is no room left on the disk")

// FolderError says that nothing can be written into the folder of a set, or into that of
// all of them.
type FolderError struct {
	All bool
	Err error
}

func (e *FolderError) Error() string {
	if e.All {
		return "the folder " + SetsFolder + " cannot be written: " + why(e.Err)
	}
	return "its folder cannot be written: " + why(e.Err)
}

// Unwrap returns the reason.
func (e *FolderError) Unwrap() error { return e.Err }

// errInTheWay is about a file where a folder is wanted.
var errInTheWay = errors.New("a file of that name stands in its place")

// FormError says that pictures are not of the form of a set, which may not crop them. The
// reason of a Line says which form its picture has.
type FormError struct {
	Set  string
	W, H int // pixels that the set wants
}

func (e *FormError) Error() string {
	return fmt.Sprintf("the form is not that of %d x %d pixels, and nobody said that they may be cropped", e.W, e.H)
}

// hindered is a file that is not cut, for a cause that others share.
func hindered(set string, p *picture, file string, cause error) Line {
	return Line{Set: set, Picture: p.path, File: file, Number: p.number, Action: Failed, Reason: cause.Error(), Cause: cause}
}

// leaveOut takes sets out of what is to be cut.
func (r *runner) leaveOut(causes map[string]error) {
	var rest []*picture
	for _, p := range r.plan.pictures {
		var can []wanted
		for _, w := range p.wanted {
			if cause := causes[w.set.Name]; cause != nil {
				r.line(hindered(w.set.Name, p, w.file, cause))
			} else {
				can = append(can, w)
			}
		}
		if p.wanted = can; len(can) > 0 {
			rest = append(rest, p)
		}
	}
	r.plan.pictures = rest
}

// giveUp ends a run for which there is no room: what is under way comes to its end, and
// every file that was still to come is said. It is an error of the run only where there
// is no file at all.
func (r *runner) giveUp(queue []pending, rest []*picture) error {
	for _, q := range queue {
		made, err := q.ticket.Result()
		if err := r.note(q.p, made, err); err != nil && !errors.Is(err, ErrFull) {
			return err
		}
	}
	for _, p := range rest {
		for _, w := range p.wanted {
			r.line(hindered(w.set.Name, p, w.file, ErrFull))
		}
	}
	if r.sum.Files[Written]+r.sum.Files[Unchanged]+r.sum.Files[Kept] > 0 {
		return nil
	}
	return ErrFull
}

// full says it in our words where there is no room.
func full(err error) error {
	if store.Class(err) == store.NoSpace {
		return ErrFull
	}
	return err
}
