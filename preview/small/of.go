package small

import (
	"context"
	"errors"
	"fmt"
	"io"

	"garner/preview/raw"
	"garner/preview/xmp"
)

// Why a raw file has no small picture.
var (
	ErrNone   = errors.New("the file holds no JPEG that could stand for it")
	ErrBroken = errors.New("the JPEG in the file is broken, or cut off")
)

const (
	maxJPEG = 256 << 20 // more than any camera embeds
	maxXMP  = 1 << 20   // of an original's own packet
)

// Of returns the largest JPEG embedded in a raw file of size bytes, cut at its end of
// image, and what the file says of itself: kind, size, the camera's words and the ids
// of its document. Frame, path, role, sums, body and corrected time are the caller's
// to add.
//
// It is strict, because the file may be let go for it: a JPEG that does not decode to
// its last row is ErrBroken, even if a smaller one does, as is one that ends outside
// of the file; and a thumbnail stands for nothing, which is ErrNone.
func Of(ctx context.Context, r io.ReaderAt, size int64) ([]byte, Original, error) {
	f, err := raw.Locate(r, size)
	if err != nil {
		return nil, Original{}, err
	}
	o := Original{Kind: string(f.Kind), Bytes: size, Meta: f.Meta}
	o.documents(r, f.XMP)
	if !f.Kind.Raw() || len(f.Previews) == 0 {
		return nil, o, ErrNone
	}
	for _, p := range f.Previews {
		if !p.Whole {
			return nil, o, ErrBroken
		}
	}
	largest := f.Previews[0]
	if largest.Role == raw.RoleThumb || largest.Length > maxJPEG {
		return nil, o, ErrNone
	}
	if err := ctx.Err(); err != nil {
		return nil, o, err
	}
	b := make([]byte, largest.Length)
	if n, err := r.ReadAt(b, largest.Offset); n < len(b) {
		return nil, o, err
	}
	if b, err = tidy(b); err != nil {
		return nil, o, fmt.Errorf("%w: %w", ErrBroken, err)
	}
	if err := decodes(b); err != nil {
		return nil, o, err
	}
	return b, o, nil
}

// documents takes what the original's own XMP packet calls it.
func (o *Original) documents(r io.ReaderAt, at raw.Segment) {
	if at.Length <= 0 || at.Length > maxXMP {
		return
	}
	b := make([]byte, at.Length)
	if n, _ := r.ReadAt(b, at.Offset); n < len(b) {
		return
	}
	doc, err := xmp.Parse(b)
	if err != nil {
		return
	}
	for name, to := range map[string]*string{"DocumentID": &o.DocumentID, "InstanceID": &o.InstanceID, "OriginalDocumentID": &o.OriginalDocumentID} {
		if id, ok := doc.Get(nsMM, name); ok && plain(id) && len(id) <= maxLine {
			*to = id
		}
	}
}
