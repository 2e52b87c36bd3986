package xmp

import (
	"errors"
	"fmt"
)

// FormatError reports that the input is not an XMP document.
type FormatError struct {
	Offset int64 // byte of the input at which it was noticed
	Reason string
}

func (e *FormatError) Error() string {
	return fmt.Sprintf("xmp: invalid format: %s at byte %d", e.Reason, e.Offset)
}

// UnsupportedError reports input that may be valid but is not read here: too
// large, too deep, another character encoding, a document type declaration.
type UnsupportedError struct {
	Offset int64
	Reason string
}

func (e *UnsupportedError) Error() string {
	return fmt.Sprintf("xmp: unsupported: %s at byte %d", e.Reason, e.Offset)
}

// PropertyError reports that one property cannot be edited as asked; nothing
// of the document was changed.
type PropertyError struct {
	NS, Name string
	Reason   string
}

func (e *PropertyError) Error() string {
	return fmt.Sprintf("xmp: property %s of %s: %s", e.Name, e.NS, e.Reason)
}

// errCheck is what a failed self-check of Apply gives: a defect of this package,
// caught before it could harm a document.
var errCheck = errors.New("xmp: edited document failed its check")

// sourceOffset turns an offset in the UTF-8 text into one in the input.
func sourceOffset(err error, text string, enc encoding) error {
	switch e := err.(type) {
	case *FormatError:
		e.Offset = enc.size(text[:min(int(e.Offset), len(text))])
	case *UnsupportedError:
		e.Offset = enc.size(text[:min(int(e.Offset), len(text))])
	}
	return err
}
