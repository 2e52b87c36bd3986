package finished

import (
	"context"
	"io"

	"garner/preview/exif"
)

// Format is the kind of a file.
type Format string

// The kinds of files.
const (
	JPEG Format = "JPEG"
	TIFF Format = "TIFF"
	PNG  Format = "PNG"
)

// Model says what the samples of a pixel are; its number is how many there are in a
// row for each pixel.
type Model int

// The models.
const (
	Grey Model = 1
	RGB  Model = 3
	CMYK Model = 4
)

func (m Model) String() string {
	switch m {
	case Grey:
		return "grey"
	case RGB:
		return "RGB"
	case CMYK:
		return "CMYK"
	}
	return "unknown"
}

// The names of colour spaces that a file may give instead of a profile.
const (
	SpaceSRGB      = "sRGB"
	SpaceAdobeRGB  = "Adobe RGB"
	SpaceDisplayP3 = "Display P3"
)

// Picture is a picture that was opened.
type Picture struct {
	Format        Format
	Width, Height int // pixels as stored, before Orientation turns them
	Orientation   int // Exif tag 274, 1..8
	Model         Model
	Bits          int  // of a sample as stored
	Alpha         bool // parts may be transparent; rows show them on white

	Profile      []byte // the embedded ICC profile; nil = none that can be used
	ProfileFault string // a clause that says why one that is there cannot be used; "" = no fault
	ColorSpace   string // what the file says besides: one of the Space names, or ""

	Exif []byte // a TIFF structure: of a JPEG or PNG as it stands, of a TIFF what it says of the exposure and the place; nil = none
	XMP  []byte // the packet; nil = none
	IPTC []byte // the data sets of IPTC-IIM; nil = none

	Meta    Meta
	Remarks []string // what a person should know, a clause each

	r    io.ReaderAt
	size int64
	body body

	texts map[string]string // of a PNG, until they are in Meta
	cut   bool              // a directory of its TIFF structure reaches past the end
}

// Meta is what a picture says about itself. What it does not say is empty.
type Meta struct {
	Taken exif.Time // when the frame was taken, by the body's clock

	Make, Model, Serial string // of the body
	Software            string

	// XMP Part 1 §8.6: of this document, of the first in its chain, of this state of
	// it; what it was derived from, and what it was put together of.
	DocumentID, OriginalDocumentID, InstanceID string
	DerivedFrom                                Reference
	Ingredients                                []Reference

	SourceNames []string // names of files, without folders, that it says it comes from

	Caption, Title, Creator, Copyright, Credit string
	Keywords                                   []string
	GPS                                        bool // it says where it was taken
}

// Reference names another document.
type Reference struct {
	DocumentID, OriginalDocumentID, InstanceID string
	FilePath                                   string // as written by another machine
}

// body decodes one format.
type body interface {
	// rows gives the rows in order; the slice is used again for the next.
	rows(ctx context.Context, p *Picture, emit func(y int, row []uint16) error) error
	// memory is about how many bytes rows takes.
	memory(p *Picture) int64
}

// Channels is how many samples a row has for each pixel: 1, 3 or 4.
func (p *Picture) Channels() int { return int(p.Model) }

// Memory is about how many bytes Rows takes while it runs.
func (p *Picture) Memory() int64 {
	return p.body.memory(p) + int64(p.Width)*int64(p.Channels())*2
}

// Rows decodes the picture once and gives its rows as stored, top to bottom: Width
// times Channels samples of 0..65535, interleaved. Of CMYK 65535 is full ink. The
// row is valid until fn returns. An error of fn ends it and is returned as it is.
// Only if Rows returns nil was the picture whole.
func (p *Picture) Rows(ctx context.Context, fn func(y int, row []uint16) error) error {
	return p.body.rows(ctx, p, func(y int, row []uint16) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		return fn(y, row)
	})
}

func (p *Picture) remark(s string) { p.Remarks = append(p.Remarks, s) }
