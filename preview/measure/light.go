package measure

import (
	"context"

	"garner/preview"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// LightOf measures how much of a frame is clipped in m, which shows all of d upright in
// sRGB; some 1,000 pixels are enough. What is missing from a truncated picture is not
// counted. It is the camera's rendition: the raw usually has more room.
func LightOf(ctx context.Context, d *preview.Detail, m *jpeg.Image) (pix.Clipping, error) {
	if !m.Truncated {
		return pix.Clip(m), nil
	}
	// Turned upright, a picture no longer knows what of it is there.
	part, err := d.Crop(ctx, d.There())
	if err != nil {
		return pix.Clipping{}, err
	}
	return pix.Clip(pix.Fit(part, SearchEdge)), nil
}
