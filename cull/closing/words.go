package closing

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

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

// count is a number with its noun.
func count(n int, noun string) string {
	switch {
	case n == 1:
		return "1 " + noun
	case strings.HasSuffix(noun, "y"):
		return fmt.Sprintf("%d %sies", n, strings.TrimSuffix(noun, "y"))
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
