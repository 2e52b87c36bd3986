package free

import (
	"errors"
	"io/fs"

	"garner/store"
)

// reason is an error without the path, which stands beside it.
func reason(err error) string {
	var ours *store.Error
	var theirs *fs.PathError
	switch {
	case errors.As(err, &ours):
		return ours.Op + ": " + reason(ours.Err)
	case errors.As(err, &theirs):
		return theirs.Err.Error()
	}
	return err.Error()
}
