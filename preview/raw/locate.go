// Package raw finds the embedded JPEGs and the metadata of camera files without
// decoding anything: one file of this package per container family, one row per
// family in the table of probes.
//
// # Security
//
// Input is untrusted. No length, count or offset that a file declares decides how
// much memory is taken or how often the file is read: all reading goes through one
// bounded source, and what Locate returns was checked to lie inside the file.
package raw

import (
	"cmp"
	"errors"
	"io"

	"garner/preview/exif"
	"garner/preview/internal/bin"
	"garner/preview/tiff"
)

// probe is one container family: how its files begin, and who reads them.
type probe struct {
	family string
	match  func(head []byte) bool // head is up to headLen bytes from the file's start
	locate func(*scan) error
}

// headLen is how much of a file's start the probes see.
const headLen = 64

// probes lists the families; the first match wins.
func probes() []probe {
	return []probe{
		{"JPEG", isJPEG, locateJPEG},
		{"CRW", isCRW, locateCRW}, // begins as TIFF does
		{"TIFF", isTIFF, locateTIFF},
		{"CR3", isCR3, locateCR3},
		{"HEIF", isMedia, locateHEIF},
		{"RAF", isRAF, locateRAF},
		{"MRW", isMRW, locateMRW},
		{"X3F", isX3F, locateX3F},
	}
}

// scan is the state of one Locate call. A family's function adds candidates and
// fills out.Kind, out.Meta; the verdict on the candidates comes at the end, when
// it is known how many share the read limit.
type scan struct {
	src   *bin.Source
	out   *File
	head  []byte
	cands []candidate

	noPreview string // what to say if no preview is whole; "" = the usual
}

func locate(r io.ReaderAt, size int64) (*File, error) {
	if size <= 0 {
		return nil, &FormatError{0, "the file is empty"}
	}
	s := &scan{
		src: bin.NewSource(r, size, MaxReads, MaxBytes),
		out: &File{Size: size, Meta: exif.NewMeta()},
	}
	var err error
	if s.head, err = s.src.UpTo(0, headLen); err != nil {
		return nil, err
	}
	for _, p := range probes() {
		if !p.match(s.head) {
			continue
		}
		if err := p.locate(s); err != nil {
			return nil, s.verdict(err)
		}
		s.finish()
		return s.out, nil
	}
	return nil, &UnsupportedError{0, "not a kind of picture that is known"}
}

// verdict makes an error of a family's function one that Locate promises: its own
// types, or the reader's where the device failed.
func (s *scan) verdict(err error) error {
	var format *FormatError
	var unsupported *UnsupportedError
	if errors.As(err, &format) || errors.As(err, &unsupported) || s.src.Failed() != nil {
		return err
	}
	return &FormatError{0, err.Error()}
}

// finish turns candidates into previews and says what is missing.
func (s *scan) finish() {
	s.readRating()
	s.judge()
	if len(s.out.Previews) == 0 || !s.out.Previews[0].Whole {
		s.problem(ProblemNoPreview, "%s", cmp.Or(s.noPreview, "the file holds no whole embedded JPEG"))
	}
	if !s.out.Meta.Taken.Known() {
		s.problem(ProblemNoTime, "the file carries no capture time")
	}
}

// fault lists a failed access to the part of the file that what names.
func (s *scan) fault(err error, what string) {
	switch {
	case err == nil:
	case errors.Is(err, bin.ErrBudget):
		s.problem(ProblemReadLimit, "the read limit was reached before the %s", what)
	case errors.Is(err, bin.ErrEnd):
		s.problem(ProblemBadPlace, "the %s lies outside the file", what)
	case errors.Is(err, tiff.ErrLoop):
		s.problem(ProblemLoop, "the %s leads back to a directory already read", what)
	case errors.Is(err, tiff.ErrCount):
		s.problem(ProblemBadCount, "the %s has a count that cannot be", what)
	case errors.Is(err, tiff.ErrTooMuch):
		s.problem(ProblemTooMuch, "the %s is one of more directories than any camera writes", what)
	case s.src.Failed() != nil && errors.Is(err, s.src.Failed()):
		s.problem(ProblemReadError, "the %s could not be read: %v", what, s.src.Failed())
	default:
		s.problem(ProblemBadContainer, "the %s is damaged: %v", what, err)
	}
}
