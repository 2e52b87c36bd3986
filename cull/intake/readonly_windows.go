package intake

import (
	"errors"

	"golang.org/x/sys/windows"
)

// readOnly reports whether nothing at all can be written there.
func readOnly(err error) bool { return errors.Is(err, windows.ERROR_WRITE_PROTECT) }
