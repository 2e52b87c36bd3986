package raw

import "fmt"

// FormatError says that the input is wrong: it is not what it begins to be.
type FormatError struct {
	Offset int64  // bytes from the start of the file
	Text   string // lower case, no final period
}

func (e *FormatError) Error() string {
	return fmt.Sprintf("raw: invalid file at byte %d: %s", e.Offset, e.Text)
}

// UnsupportedError says that the input may well be right, but is no picture that
// this package knows.
type UnsupportedError struct {
	Offset int64
	Text   string
}

func (e *UnsupportedError) Error() string {
	return fmt.Sprintf("raw: not supported at byte %d: %s", e.Offset, e.Text)
}
