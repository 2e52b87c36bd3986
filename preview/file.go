package preview

import (
	"context"
	"errors"
	"io"

	"garner/preview/raw"
	"garner/preview/small"
)

// File is a camera file that was opened: what is in it, and where to read it.
type File struct {
	raw.File
	r io.ReaderAt
}

// Open finds out what a camera file of size bytes holds, with at most
// raw.MaxReads reads and raw.MaxBytes bytes, and of a small picture what it says of its
// original. R must stay readable for as long
// as pictures are rendered from the File.
func Open(r io.ReaderAt, size int64) (*File, error) {
	f, err := raw.Locate(r, size)
	if err != nil {
		return nil, err
	}
	if f.Kind == "JPEG" {
		if o, err := small.Read(r, size); err == nil || errors.Is(err, small.ErrChanged) {
			f.Meta = o.Meta // the camera's own words, of the original's pixels
		}
	}
	return &File{*f, r}, nil
}

// Render gives the file's picture upright with a long edge of at most longEdge
// pixels; 0 = as large as the largest preview.
func (f *File) Render(ctx context.Context, longEdge int) (*Picture, error) {
	return Render(ctx, f.r, f.Previews, f.view(longEdge))
}

// Detail opens the file's largest preview for looking at single pixels.
func (f *File) Detail(ctx context.Context) (*Detail, error) {
	return OpenDetail(ctx, f.r, f.Previews, f.view(0), &f.Meta.Subject)
}

// Unsearched is Detail for measuring: the point of focus is not searched for where the
// camera noted none.
func (f *File) Unsearched(ctx context.Context) (*Detail, error) {
	v := f.view(0)
	v.Unsearched = true
	return OpenDetail(ctx, f.r, f.Previews, v, &f.Meta.Subject)
}

func (f *File) view(longEdge int) View {
	return View{
		Orientation: f.Meta.Orientation,
		LongEdge:    longEdge,
		Width:       f.Meta.Width,
		Height:      f.Meta.Height,
		ColorSpace:  f.Meta.ColorSpace,
	}
}
