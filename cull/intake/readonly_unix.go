//go:build unix

package intake

import (
	"errors"
	"syscall"
)

// readOnly reports whether nothing at all can be written there.
func readOnly(err error) bool { return errors.Is(err, syscall.EROFS) }
