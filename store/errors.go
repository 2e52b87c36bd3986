package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// Findings about content. What the system reports comes as its own errors; see
// [Class] for both.
var (
	// ErrDiffers is returned when a target exists with other content than the
	// one to be written. It is never overwritten.
	ErrDiffers = errors.New("exists and differs")

	// ErrChanged is returned when a file was no longer the same after it had
	// been read: grown, shortened, rewritten or replaced.
	ErrChanged = errors.New("changed while it was read")

	// ErrCutShort is returned when a file gave fewer bytes than its size, while
	// the size stayed what it was: a medium that can't be read to the end.
	ErrCutShort = errors.New("ends before its size says")

	// ErrMismatch is returned when the bytes read are not the bytes expected:
	// a copy that reads back differently, or a source with another digest.
	ErrMismatch = errors.New("content is not what was expected")

	// ErrNetwork is returned when something must not lie on a network file
	// system, because locks and syncs can't be trusted there.
	ErrNetwork = errors.New("lies on a network file system")

	// ErrNotRegular is returned when a folder, link, pipe or device stands
	// where a file is needed.
	ErrNotRegular = errors.New("is not a regular file")

	// ErrSameFile is returned when two paths that must be two files are one.
	ErrSameFile = errors.New("is the same file as another one of the work")
)

// Error is a failure with its operation and path, each said once.
type Error struct {
	Op     string // what was done: "read", "write", "sync", "read back", …
	Path   string // to which file, as the caller named it
	Offset int64  // where in the file, in bytes; negative when that is not known
	Err    error  // why, without path and operation
}

func (e *Error) Error() string {
	if e.Offset >= 0 {
		return fmt.Sprintf("%s %s at byte %d: %v", e.Op, e.Path, e.Offset, e.Err)
	}
	return fmt.Sprintf("%s %s: %v", e.Op, e.Path, e.Err)
}

// Unwrap returns the reason.
func (e *Error) Unwrap() error { return e.Err }

// Wrap gives err its operation and path. What the standard library had put
// around the reason is taken off, so that neither is said twice; an [Error] and
// nil are returned as they are.
func Wrap(op, path string, err error) error {
	return WrapAt(op, path, -1, err)
}

// WrapAt is [Wrap] for a failure at a known offset.
func WrapAt(op, path string, offset int64, err error) error {
	if err == nil {
		return nil
	}
	if _, ours := err.(*Error); ours {
		return err
	}
	return &Error{Op: op, Path: path, Offset: offset, Err: bare(err)}
}

// bare takes off the operation and path that the standard library adds.
func bare(err error) error {
	switch e := err.(type) {
	case *fs.PathError:
		return bare(e.Err)
	case *os.LinkError:
		return bare(e.Err)
	case *os.SyscallError:
		return bare(e.Err)
	}
	return err
}
