package jpeg

import (
	"errors"
	"fmt"
)

// ErrStopped says that a decode ended because Options.Stop was closed.
var ErrStopped = errors.New("jpeg: stopped")

// FormatError says that the data are not a well-formed JPEG.
type FormatError string

// Error implements error.
func (e FormatError) Error() string { return "jpeg: invalid format: " + string(e) }

// UnsupportedError says that the data are a JPEG of a kind that is not read:
// lossless, arithmetic coded, hierarchical, or with more than 8 bits a sample.
type UnsupportedError string

// Error implements error.
func (e UnsupportedError) Error() string { return "jpeg: unsupported: " + string(e) }

// SizeError says that a picture was refused for its declared size before any
// of it was decoded.
type SizeError struct {
	Width, Height int
	Bytes         int64  // coded data that are there
	Reason        string // "more pixels than allowed" or "more than the data can hold"
}

// Error implements error.
func (e *SizeError) Error() string {
	return fmt.Sprintf("jpeg: refused: %dx%d in %d bytes is %s", e.Width, e.Height, e.Bytes, e.Reason)
}
