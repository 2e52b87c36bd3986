package measure

import (
	"context"
	"image"

	"garner/preview"
	"garner/preview/pix"
)

// MaxSpots is how many places of a frame are measured at most.
const MaxSpots = 12

// mostFace is the side of the part of a face that is measured at most, in pixels.
const mostFace = 512

// Spot is a place that was measured.
type Spot struct {
	image.Rectangle      // upright pixels of the JPEG
	Subject         bool // the camera noted its subject there; else it is a part with structure
	pix.Focus
}

// FocusOf measures the subject that the camera noted, if it did, and the parts with
// the most structure, at the single pixels of the JPEG. The subject comes first. Parts
// that are missing from a damaged picture are left out.
func FocusOf(ctx context.Context, d *preview.Detail) ([]Spot, error) {
	var out []Spot
	add := func(r image.Rectangle, subject bool) error {
		f, err := SharpnessOf(ctx, d, r)
		if err == nil && f.Pixels > 0 {
			out = append(out, Spot{r, subject, f})
		}
		return ctx.Err()
	}
	if r, ok := d.Subject(); ok {
		if err := add(r, true); err != nil {
			return nil, err
		}
	}
	for _, r := range d.Tiles(MaxSpots - len(out)) {
		if err := add(r, false); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// SharpnessOf measures one part of the upright picture, such as a face; of a large one
// the middle. Its Pixels are 0 where there is too little to measure.
func SharpnessOf(ctx context.Context, d *preview.Detail, r image.Rectangle) (pix.Focus, error) {
	if cut := r.Dx() - mostFace; cut > 0 {
		r.Min.X, r.Max.X = r.Min.X+cut/2, r.Min.X+cut/2+mostFace
	}
	if cut := r.Dy() - mostFace; cut > 0 {
		r.Min.Y, r.Max.Y = r.Min.Y+cut/2, r.Min.Y+cut/2+mostFace
	}
	m, err := d.Luma(ctx, r)
	if err != nil {
		return pix.Focus{}, err
	}
	return pix.FocusOf(m, image.Rect(0, 0, m.Width, m.Height)), nil
}
