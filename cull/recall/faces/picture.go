package faces

import (
	"context"
	"errors"
	"image"
	"io"
	"os"

	"garner/cull/returned"
	"garner/preview"
	"garner/preview/jpeg"
	"garner/preview/measure"
	"garner/preview/pix"
	"garner/store"
)

// finishedEdge is the long edge, in pixels, to which a picture is brought of which no
// parts can be had: a face that fills a fiftieth of it still gets a template.
const finishedEdge = 2560

// picture is what a file shows: the whole, at the size in which faces are found, and its
// single pixels.
type picture struct {
	whole *jpeg.Image
	full  measure.Full
}

// read decodes a file: the largest JPEG of a camera's file, or a finished picture.
func read(ctx context.Context, path string) (picture, error) {
	info, err := os.Stat(path)
	if err != nil {
		return picture{}, errors.New(store.Reason(err))
	}
	if !info.Mode().IsRegular() { // a pipe would be waited for
		return picture{}, errors.New("it is no file")
	}
	r, err := os.Open(path)
	if err != nil {
		return picture{}, errors.New(store.Reason(err))
	}
	defer r.Close()
	p, err := ofCamera(ctx, r, info.Size())
	if err == nil || ctx.Err() != nil {
		return p, err
	}
	m, none := returned.Upright(ctx, path, finishedEdge)
	if none != nil {
		return picture{}, errors.Join(ctx.Err(), err)
	}
	return picture{pix.Fit(m, measure.SearchEdge), measure.Full{Width: m.Width, Height: m.Height, Parts: wholly{m}}}, nil
}

// ofCamera reads what a camera wrote: a raw file or a JPEG.
func ofCamera(ctx context.Context, r io.ReaderAt, size int64) (picture, error) {
	p, err := preview.Open(r, size)
	if err != nil {
		return picture{}, err
	}
	d, err := p.Unsearched(ctx)
	if err != nil {
		return picture{}, err
	}
	var smaller *jpeg.Image
	if m, err := p.Render(ctx, measure.SearchEdge); err == nil {
		smaller = m.Image
	}
	whole, err := measure.Searched(ctx, d, smaller)
	return picture{whole, measure.Full{Width: d.Width, Height: d.Height, Parts: d}}, err
}

// wholly gives parts of a picture that is decoded whole.
type wholly struct{ m *jpeg.Image }

// Crop is as that of a preview.Detail.
func (p wholly) Crop(_ context.Context, r image.Rectangle) (*jpeg.Image, error) {
	return pix.Cut(p.m, r, 1), nil
}
