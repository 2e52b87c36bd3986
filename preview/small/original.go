package small

import (
	"crypto/sha256"
	"errors"
	"path"
	"strings"

	"garner/preview/exif"
)

// Original is the raw file that a small picture stands for.
type Original struct {
	Frame   string   // id of its frame, 16 hexadecimal digits
	Aliases []string // other ids under which the frame was known
	Path    string   // in its job, "/"-separated, the file system's own bytes
	Kind    string   // "CR3", "NEF", …
	Role    string   // to its frame: "main", "twin", …
	Bytes   int64
	Sum     [sha256.Size]byte // SHA-256 of all its bytes
	Head    string            // lower-case hexadecimal SHA-256 of the first 64 KiB

	Meta exif.Meta // what the camera wrote

	Corrected exif.Time // when it was taken, after the body's clock was corrected; zero = not known
	Body      string    // letter of the body in its job

	// What the original's own XMP called it; "" where it did not.
	DocumentID, InstanceID, OriginalDocumentID string

	LongEdge int // pixels that the picture was brought down to; 0 = it is the camera's own
}

// What Read and Check find.
var (
	ErrNotOurs = errors.New("not a small picture of a raw file")
	ErrChanged = errors.New("the small picture is not as it was written: it was cut off or changed")
)

// sound reports whether o could have been written by Wrap: ids, sums and a path that
// does not lead out of a job.
func (o *Original) sound() bool {
	for _, id := range append([]string{o.Frame}, o.Aliases...) {
		if !hexadecimal(id, 16) {
			return false
		}
	}
	for _, id := range []string{o.DocumentID, o.InstanceID, o.OriginalDocumentID} {
		if !plain(id) {
			return false
		}
	}
	clean := path.Clean(o.Path)
	inside := o.Path != "" && clean == o.Path && clean != "." && clean != ".." && !strings.HasPrefix(clean, "../") && !path.IsAbs(clean) &&
		!strings.ContainsRune(clean, 0)
	return inside && o.Kind != "" && o.Bytes > 0 && o.Sum != [sha256.Size]byte{} && (o.Head == "" || hexadecimal(o.Head, 2*sha256.Size))
}

func hexadecimal(s string, n int) bool {
	return len(s) == n && strings.Trim(s, "0123456789abcdef") == ""
}
