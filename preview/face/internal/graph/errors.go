package graph

import "fmt"

// FormatError says that the data are not a well-formed .tflite file.
type FormatError string

// Error implements error.
func (e FormatError) Error() string { return "tflite: invalid format: " + string(e) }

// UnsupportedError says that the file is well formed, as far as it was read, and
// wants something that is not done here.
type UnsupportedError string

// Error implements error.
func (e UnsupportedError) Error() string { return "tflite: unsupported: " + string(e) }

func badFormat(format string, args ...any) error { return FormatError(fmt.Sprintf(format, args...)) }

func unsupported(format string, args ...any) error {
	return UnsupportedError(fmt.Sprintf(format, args...))
}
