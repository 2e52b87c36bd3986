package preview

import (
	"image"

	"garner/preview/exif"
	"garner/preview/pix"
)

// focus finds where to look first.
func (d *Detail) focus(v View, area *exif.Area) {
	if p, ok := d.subject(v, area); ok {
		d.Focus, d.FocusFrom = pix.Upright(p, d.shown.Dx(), d.shown.Dy(), d.orientation), FocusCamera
		return
	}
	d.Focus, d.FocusFrom = image.Pt(d.Width/2, d.Height/2), FocusCentre
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
