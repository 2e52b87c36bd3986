package closing

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"garner/store"
)

// Reason says, in a clause for people, why the bag is not whole; "" if it is.
func (p Place) Reason() string {
	if p.Err == nil {
		return ""
	}
	var e *store.Error
	at := ""
	if errors.As(p.Err, &e) {
		if rel, err := filepath.Rel(p.Dir, e.Path); err == nil && filepath.IsLocal(rel) && rel != "." {
			at = " (" + filepath.ToSlash(rel) + ")"
		}
	}
	switch store.Class(p.Err) {
	case store.NoSpace:
		return "the disk is full" + at
	case store.DeviceGone:
		return "the disk is not there any more"
	case store.Permission:
		return "it cannot be written: the disk is read-only, or somebody else's" + at
	case store.TooLarge:
		return "its file system takes no file that large" + at
	}
	return store.Reason(p.Err) + at
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
