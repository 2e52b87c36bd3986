package preview

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"io"

	"garner/preview/exif"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/raw"
)

// How the focus of a Detail was found.
const (
	FocusCamera   = "camera"   // the camera noted where the subject is
	FocusSharpest = "sharpest" // the part of the picture with the finest structure
	FocusCentre   = "centre"   // nothing stood out
)

// Detail gives the single pixels of a frame: parts of its largest embedded JPEG
// at full size. The JPEG stays in memory as it is coded, so that a part costs
// a few milliseconds. All methods may be called by several goroutines.
type Detail struct {
	Width, Height               int         // upright pixels
	SensorWidth, SensorHeight   int         // of the full picture, upright; 0 = unknown
	Focus                       image.Point // where to look first, in upright pixels
	FocusFrom                   string      // FocusCamera, FocusSharpest or FocusCentre
	Used                        raw.Preview
	ColorSpace, From, Unmanaged string // as a Picture's
	Truncated                   bool   // rows are missing at one edge; they are grey
	Problems                    []raw.Problem

	src         []byte
	space       space
	orientation int
	shown       image.Rectangle // the picture in the JPEG, as stored
	rows        int             // of the JPEG, from the top, that are there
	index       *jpeg.Index
	small       *jpeg.Image // its luma, made smaller by scale
	scale       int
	decoders    *Decoders
	whole       wholePicture
}

// OpenDetail reads the largest embedded JPEG that can be decoded and finds the
// point of focus: the centre of area, which counts the pixels of the full
// picture as stored, if it is given. Of View the orientation, the size and the
// colour space matter.
//
// The Detail is nil on an error; ErrNoPicture and the errors of ctx and of
// reading are as Render's.
func OpenDetail(ctx context.Context, r io.ReaderAt, previews []raw.Preview, v View, area *exif.Area) (*Detail, error) {
	last := errors.New("none is embedded")
	var problems []raw.Problem
	var part *Detail // the largest of which less than half is there
	for _, p := range inOrder(previews, 0) {
		d, err := openDetail(ctx, r, p, v, area)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var failed *readError
		switch {
		case errors.As(err, &failed):
			return nil, failed.err
		case err != nil:
			last = err
			problems = append(problems, broken(p, err))
			continue
		}
		problems = append(problems, d.Problems...)
		if d.rows*2 >= d.shown.Max.Y {
			d.Problems = problems
			return d, nil
		}
		if part == nil {
			part = d
		}
	}
	if part != nil {
		part.Problems = problems
		return part, nil
	}
	return nil, fmt.Errorf("%w: %w", ErrNoPicture, last)
}

// openDetail reads one preview and looks it through: the index comes with a small
// decode of its luma, in which the focus is searched for.
func openDetail(ctx context.Context, r io.ReaderAt, p raw.Preview, v View, area *exif.Area) (*Detail, error) {
	src, err := read(ctx, r, p)
	if err != nil {
		return nil, err
	}
	info, err := jpeg.Config(bytes.NewReader(src), 0, int64(len(src)))
	if err != nil {
		return nil, err
	}
	d := &Detail{Used: p, src: src, space: spaceOf(src, v.ColorSpace), orientation: v.Orientation, index: &jpeg.Index{}, decoders: v.Decoders}
	if d.decoders == nil {
		d.decoders = &Decoders{}
	}
	d.ColorSpace, d.From, d.Unmanaged = d.space.shown(), d.space.from(), d.space.trouble
	scale := scaleFor(info.Width, info.Height, lookEdge)
	small, err := d.decoders.Decode(src, jpeg.Options{Scale: scale, Luma: true, Index: d.index, Stop: ctx.Done()})
	if err != nil {
		return nil, err
	}
	d.shown = d.unbarred(ctx, v, info)
	d.Width, d.Height = d.shown.Dx(), d.shown.Dy()
	d.SensorWidth, d.SensorHeight = v.Width, v.Height
	if pix.Turned(v.Orientation) {
		d.Width, d.Height = d.Height, d.Width
		d.SensorWidth, d.SensorHeight = d.SensorHeight, d.SensorWidth
	}
	d.rows = info.Height
	if d.Truncated = small.Truncated; small.Truncated {
		d.rows = min(small.Rows*scale, info.Height)
		d.Problems = append(d.Problems, damaged(p, d.rows, info.Height))
	}
	d.small, d.scale = small, scale
	d.focus(ctx, v, area)
	return d, nil
}

// barredPixels is the size up to which a picture may have black bars round it, as
// thumbnails have.
const barredPixels = 1 << 20

// unbarred is the picture without its bars, in pixels of the JPEG.
func (d *Detail) unbarred(ctx context.Context, v View, info jpeg.Info) image.Rectangle {
	all := image.Rect(0, 0, info.Width, info.Height)
	if info.Width*info.Height > barredPixels {
		return all
	}
	m, err := d.decode(ctx, jpeg.Options{Crop: all})
	if err != nil {
		return all
	}
	trimmed := pix.TrimBars(m, v.Width, v.Height)
	x, y := (m.Width-trimmed.Width)/2, (m.Height-trimmed.Height)/2
	return image.Rect(x, y, x+trimmed.Width, y+trimmed.Height)
}

// Crop returns the part r of the upright picture, exactly as large as r is
// after clipping it to the picture, in sRGB. Rows that are missing from a
// truncated picture are grey. The Image is the caller's own.
func (d *Detail) Crop(ctx context.Context, r image.Rectangle) (*jpeg.Image, error) {
	r = r.Intersect(image.Rect(0, 0, d.Width, d.Height))
	if r.Empty() {
		return nil, fmt.Errorf("the part lies outside the picture of %dx%d", d.Width, d.Height)
	}
	stored := pix.Stored(r, d.shown.Dx(), d.shown.Dy(), d.orientation).Add(d.shown.Min)
	m, err := d.decode(ctx, jpeg.Options{Crop: stored})
	if err != nil {
		return nil, err
	}
	d.space.toSRGB(m)
	return pix.Cut(m, stored.Sub(m.Origin), d.orientation), nil
}

// Bytes is about what the Detail holds in memory.
func (d *Detail) Bytes() int64 {
	return int64(len(d.src)) + int64(len(d.small.Y)) + d.index.Bytes() + d.whole.bytes()
}
