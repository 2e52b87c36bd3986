package raw

import (
	"io"

	"garner/preview/exif"
)

// Kind names the container family and maker layout by content: "CR2", "CR3",
// "CRW", "NEF", "NRW", "ARW", "SR2", "RAF", "ORF", "RW2", "RWL", "DNG", "GPR",
// "PEF", "SRW", "X3F", "MRW", "3FR", "IIQ", "ERF", "JPEG", "HEIF", "TIFF".
type Kind string

// Raw reports whether the kind carries sensor data (all but JPEG, HEIF, TIFF).
func (k Kind) Raw() bool { return k != "JPEG" && k != "HEIF" && k != "TIFF" && k != "" }

// Role says what an embedded JPEG is good for.
type Role string

// The three roles, from the pixel count: full is the largest of the file if it
// has 3 MP or more, screen anything from 0.3 MP, thumb the rest.
const (
	RoleFull   Role = "full"
	RoleScreen Role = "screen"
	RoleThumb  Role = "thumb"
)

// Preview is one embedded JPEG: where it lies and how large its picture is.
type Preview struct {
	Role          Role
	Offset        int64 // bytes from the start of the file
	Length        int64 // bytes
	Width, Height int   // from the JPEG's own frame header; 0 = could not be read
	Whole         bool  // inside the file, starts with SOI and has SOF0, SOF1 or SOF2
	Progressive   bool  // SOF2
	Components    int   // 1, 3 or 4; 0 = unknown
	Precision     int   // bits per sample; 0 = unknown
}

// Problem is a fault that did not stop the reading.
type Problem struct {
	Code string // stable, lower case with dashes: "no-preview", "preview-cut-off", "ifd-loop", "bad-count", "no-time", ...
	Text string // one sentence for people, lower case, no final period
}

// File is what one camera file holds.
type File struct {
	Kind     Kind
	Size     int64
	Previews []Preview // largest pixel count first; cut-off ones (Whole=false) after the whole ones
	Meta     exif.Meta
	XMP      Segment // embedded XMP packet, Length 0 = none
	Problems []Problem
}

// Segment is a byte range of the file.
type Segment struct{ Offset, Length int64 }

// Limits of one Locate call, held by its own counting reader.
const (
	MaxReads = 16
	MaxBytes = 128 << 10
)

// Locate finds every embedded JPEG and the metadata of one camera file without
// decoding a picture. It never reads more than MaxReads times and MaxBytes
// bytes. The type is found by content, never by name. An error is a
// *FormatError (broken) or *UnsupportedError (not a picture garner knows), or
// what r itself failed with; on error the File is nil. A known picture whose insides are damaged gives a File
// with Problems.
func Locate(r io.ReaderAt, size int64) (*File, error) { return locate(r, size) }
