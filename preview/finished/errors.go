package finished

import (
	"errors"
	"fmt"
	"io"
)

// FormatError says that a file is no picture, or a broken one.
type FormatError string

// Error implements error.
func (e FormatError) Error() string { return string(e) }

// UnsupportedError says that a file is a picture of a kind that is not read.
type UnsupportedError string

// Error implements error.
func (e UnsupportedError) Error() string { return string(e) }

// TruncatedError says that a picture ends before its last row.
type TruncatedError struct {
	Rows, Height int // rows that are there, and that have to be
}

// Error implements error.
func (e *TruncatedError) Error() string {
	if e.Height == 0 {
		return "cut off: the file ends inside its headers"
	}
	return fmt.Sprintf("cut off: %d of %d rows are there", e.Rows, e.Height)
}

// SizeError says that a picture was refused for the size it declares.
type SizeError struct {
	Width, Height int
	Reason        string
}

// Error implements error.
func (e *SizeError) Error() string {
	return fmt.Sprintf("%dx%d pixels: %s", e.Width, e.Height, e.Reason)
}

// ended reports whether an error of a reader means that the data stop.
func ended(err error) bool { return err == io.EOF || errors.Is(err, io.ErrUnexpectedEOF) }
