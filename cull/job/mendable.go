package job

import (
	"errors"

	"garner/store/catalog"
)

// Mendable reports that a job could not be read because its catalogue is lost or
// damaged: opening it for writing mends it.
func Mendable(err error) bool {
	return errors.Is(err, catalog.ErrMissing) || errors.Is(err, catalog.ErrDamaged)
}
