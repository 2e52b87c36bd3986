package preview

import (
	"context"
	"fmt"
	"image"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// Luma returns the luma of the part r of the upright picture as it is coded, which is
// what sharpness is measured on: no colour is converted. R is clipped to what of the
// picture is there, so that the part holds no grey of missing rows; an error if
// nothing is left.
func (d *Detail) Luma(ctx context.Context, r image.Rectangle) (*jpeg.Image, error) {
	r = r.Intersect(image.Rect(0, 0, d.Width, d.Height))
	stored := pix.Stored(r, d.shown.Dx(), d.shown.Dy(), d.orientation).Add(d.shown.Min)
	stored.Max.Y = min(stored.Max.Y, d.rows)
	if stored.Empty() {
		return nil, fmt.Errorf("nothing of the part is in the picture of %dx%d", d.Width, d.Height)
	}
	m, err := d.decode(ctx, jpeg.Options{Crop: stored, Luma: true})
	if err != nil {
		return nil, err
	}
	m = pix.Cut(m, stored.Sub(m.Origin), d.orientation)
	if m == nil {
		return nil, fmt.Errorf("nothing of the part is in the picture of %dx%d", d.Width, d.Height)
	}
	m.Truncated, m.Rows = false, m.Height
	return m, nil
}

// There is the part of the upright picture that is there: all of it, but for the rows
// that are missing from a truncated one, at whichever edge they are upright.
func (d *Detail) There() image.Rectangle {
	w, h := d.shown.Dx(), d.shown.Dy()
	rows := min(d.rows-d.shown.Min.Y, h)
	if w <= 0 || rows <= 0 {
		return image.Rectangle{}
	}
	a, b := pix.Upright(image.Point{}, w, h, d.orientation), pix.Upright(image.Pt(w-1, rows-1), w, h, d.orientation)
	return image.Rect(min(a.X, b.X), min(a.Y, b.Y), max(a.X, b.X)+1, max(a.Y, b.Y)+1)
}
