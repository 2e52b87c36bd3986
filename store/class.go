package store

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"syscall"
)

// Failure is the kind of a failure, as far as a person has to act differently.
type Failure uint8

// The kinds of failure.
const (
	Unclassified Failure = iota
	DeviceGone           // the card, disk or server is no longer there
	NoSpace              // disk or quota full
	Permission           // not allowed, read-only or write-protected
	ReadError            // the medium can't be read; see Error.Offset
	WriteError           // the medium can't be written
	Network              // on a network file system, where it must not be
	Changed              // the source changed while it was read
	Differs              // the target exists with other content
	Mismatch             // the bytes are not the bytes expected
	Missing              // no such file or folder
	Exists               // the name is taken
	TooLarge             // larger than the file system allows (4 GiB on FAT)
	BadName              // the file system does not allow this name
	Busy                 // another program holds the file
	Stopped              // cancelled, or its time was over
)

var failureNames = [...]string{
	"failed", "device gone", "no space", "no permission", "read error", "write error",
	"network file system", "changed while reading", "exists and differs", "other content than expected",
	"missing", "exists", "file too large", "name not allowed", "in use", "stopped",
}

// String returns a few lower-case words for a list or a log.
func (f Failure) String() string {
	if int(f) < len(failureNames) {
		return failureNames[f]
	}
	return failureNames[Unclassified]
}

// Retryable reports whether the same call may work later without anybody
// changing the input: a card put back in, a file no longer in use. A full disk
// or a missing permission needs a person first.
func (f Failure) Retryable() bool {
	switch f {
	case DeviceGone, ReadError, Changed, Mismatch, Busy, Stopped:
		return true
	}
	return false
}

// sentinels are looked for in this order: what garner found out itself says more
// than what the system reported underneath.
var sentinels = [...]struct {
	err   error
	class Failure
}{
	{ErrDiffers, Differs},
	{ErrChanged, Changed},
	{ErrMismatch, Mismatch},
	{ErrCutShort, ReadError},
	{ErrNetwork, Network},
	{ErrNotRegular, Differs},
	{ErrSameFile, Differs},
	{context.Canceled, Stopped},
	{context.DeadlineExceeded, Stopped},
}

// Class tells the kind of err, which may be wrapped any number of times; nil and
// unknown errors are [Unclassified]. Of joined errors the first known one counts.
func Class(err error) Failure {
	if err == nil {
		return Unclassified
	}
	for _, s := range sentinels {
		if errors.Is(err, s.err) {
			return s.class
		}
	}
	var errno syscall.Errno
	if errors.As(err, &errno) {
		if errno == syscall.EINVAL && naming(err) {
			return BadName
		}
		if c := classErrno(errno); c != Unclassified {
			return sided(err, c)
		}
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return Missing
	case errors.Is(err, fs.ErrExist):
		return Exists
	case errors.Is(err, fs.ErrPermission):
		return Permission
	case errors.Is(err, io.ErrUnexpectedEOF):
		return ReadError
	}
	return Unclassified
}

// classErrno knows the numbers that every system's syscall package has (on
// Windows they are invented, but injected faults use them) and then asks the
// system's own table.
func classErrno(e syscall.Errno) Failure {
	switch e {
	case syscall.ENODEV, syscall.ENXIO, syscall.ESTALE, syscall.ENOTCONN, syscall.EHOSTDOWN, syscall.ETIMEDOUT:
		return DeviceGone
	case syscall.ENOSPC, syscall.EDQUOT:
		return NoSpace
	case syscall.EACCES, syscall.EPERM, syscall.EROFS:
		return Permission
	case syscall.EIO:
		return ReadError
	case syscall.EFBIG:
		return TooLarge
	case syscall.ENAMETOOLONG, syscall.EILSEQ:
		return BadName
	case syscall.EBUSY, syscall.ETXTBSY:
		return Busy
	case syscall.ENOENT, syscall.ENOTDIR:
		return Missing
	case syscall.EEXIST, syscall.ENOTEMPTY:
		return Exists
	}
	return classSystem(e)
}

// writing lists the operations during which a medium's failure is a failure to
// write; the number the system gives (EIO) is the same for both directions.
func writing(op string) bool {
	switch op {
	case "write", "sync", "sync folder", "create", "rename", "close", "truncate", "preallocate", "fsync":
		return true
	}
	return false
}

// naming reports whether an operation failed that gives a name: of those Linux
// says EINVAL when FAT or exFAT does not allow it.
func naming(err error) bool {
	var ours *Error
	return errors.As(err, &ours) && (ours.Op == "create" || ours.Op == "make folder" || ours.Op == "rename")
}

// sided turns a medium's failure into the direction it happened in.
func sided(err error, c Failure) Failure {
	if c != ReadError {
		return c
	}
	var ours *Error
	var theirs *fs.PathError
	if errors.As(err, &ours) && writing(ours.Op) || errors.As(err, &theirs) && writing(theirs.Op) {
		return WriteError
	}
	return c
}
