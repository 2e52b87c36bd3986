package preview

import (
	"context"
	"image"
	"math"
	"slices"

	"garner/preview/exif"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

const (
	// lookEdge is how large the picture is in which the parts to look at more closely
	// are chosen: a part of pix.TileEdge is then a small face in a group.
	lookEdge = 600
	looks    = 20 // parts
	closer   = 4  // how much closer

	// What must be said of the best part to be believed: that there is some fine
	// structure in it, and more than in the middle one of all.
	leastScore, leastLead = 0.02, 1.25
)

// focus finds where to look first: where the camera says, else in the part with
// the finest structure. That is searched for in a small picture and decided in
// a larger one, as a fault of focus is often finer than a small one shows; else in
// the middle.
func (d *Detail) focus(ctx context.Context, v View, area *exif.Area) {
	shown := func(p image.Point) image.Point {
		return pix.Upright(p.Sub(d.shown.Min), d.shown.Dx(), d.shown.Dy(), d.orientation)
	}
	if p, ok := d.subject(v, area); ok {
		d.Focus, d.FocusFrom = shown(p.Add(d.shown.Min)), FocusCamera
		return
	}
	d.Focus, d.FocusFrom = image.Pt(d.Width/2, d.Height/2), FocusCentre
	if v.Unsearched {
		return
	}
	if p, ok := d.sharpest(ctx); ok {
		d.Focus, d.FocusFrom = shown(p), FocusSharpest
	}
}

// sharpest returns the place with the finest structure, in pixels of the JPEG.
func (d *Detail) sharpest(ctx context.Context) (image.Point, bool) {
	spots := pix.Sharpest(d.small, looks)
	if len(spots) == 0 {
		return image.Point{}, false
	}
	fine := max(1, d.scale/closer)
	parts := make([]*jpeg.Image, len(spots))
	for i, s := range spots {
		var err error
		r := image.Rectangle{Min: s.Min.Mul(d.scale), Max: s.Max.Mul(d.scale)}
		if parts[i], err = d.decode(ctx, jpeg.Options{Crop: r, Scale: fine, Luma: true}); err != nil {
			return image.Point{}, false
		}
	}
	best, scores := 0, make([]float64, len(spots))
	found := pix.Compare(parts)
	for i, s := range found {
		scores[i] = math.Sqrt(s.Score * spots[i].Score)
		if scores[i] > scores[best] {
			best = i
		}
	}
	at := found[best].At.Add(parts[best].Origin).Mul(fine)
	lead := scores[best]
	slices.Sort(scores)
	return at, lead >= leastScore && lead >= leastLead*scores[len(scores)/2]
}

// subject maps the centre of a subject area, in pixels of the full picture as
// stored, to the shown part of the JPEG. Where the two have different shapes,
// as with a body set to 16:9, the JPEG is taken for a central part of the full
// picture.
func (d *Detail) subject(v View, area *exif.Area) (image.Point, bool) {
	if area == nil || !area.Given {
		return image.Point{}, false
	}
	w, h := d.shown.Dx(), d.shown.Dy()
	fw, fh := v.Width, v.Height
	if fw <= 0 || fh <= 0 {
		fw, fh = w, h
	}
	if area.X < 0 || area.Y < 0 || area.X >= fw || area.Y >= fh {
		return image.Point{}, false
	}
	scale := max(float64(w)/float64(fw), float64(h)/float64(fh))
	at := func(v, full, shown int) int {
		return int((float64(v)+0.5-float64(full)/2)*scale + float64(shown)/2)
	}
	p := image.Pt(at(area.X, fw, w), at(area.Y, fh, h))
	return p, p.In(image.Rect(0, 0, w, h))
}
