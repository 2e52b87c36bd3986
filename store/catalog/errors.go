package catalog

import (
	"errors"
	"fmt"
)

// Why a catalogue can't be used.
var (
	// ErrMissing is returned when there is no file, or an empty one. Repair
	// makes a new one.
	ErrMissing = errors.New("there is no catalogue")

	// ErrDamaged is returned when the file's structure or a record is broken.
	// Repair sets the file aside and saves what can still be read.
	ErrDamaged = errors.New("the catalogue is damaged")

	// ErrNewer is returned when a newer garner has written the file.
	ErrNewer = errors.New("the catalogue was written by a newer version of garner")

	// ErrBusy is returned when another program did not let go of the file in time.
	ErrBusy = errors.New("the catalogue is in use")
)

// damaged says where the damage is; it is ErrDamaged.
type damaged struct {
	where string
	what  string
}

func (d *damaged) Error() string {
	return fmt.Sprintf("%v: %s: %s", ErrDamaged, d.where, d.what)
}

func (d *damaged) Unwrap() error { return ErrDamaged }

func damage(where, format string, args ...any) error {
	return &damaged{where: where, what: fmt.Sprintf(format, args...)}
}
