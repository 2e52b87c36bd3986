package store

import (
	"errors"
	"io/fs"
)

// Reason is an error as a clause without the path, which stands beside it.
func Reason(err error) string {
	var ours *Error
	var theirs *fs.PathError
	switch {
	case errors.As(err, &ours):
		return ours.Op + ": " + Reason(ours.Err)
	case errors.As(err, &theirs):
		return theirs.Err.Error()
	}
	return err.Error()
}
