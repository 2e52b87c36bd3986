package preview

import "image"

// Place is a place in an upright picture as shares of its width and height, so
// that it means the same in frames of different sizes.
type Place struct{ X, Y float64 }

// PlaceOf returns where a pixel of the upright picture is.
func (d *Detail) PlaceOf(p image.Point) Place {
	return Place{(float64(p.X) + 0.5) / float64(d.Width), (float64(p.Y) + 0.5) / float64(d.Height)}
}

// Around returns the rectangle of w by h upright pixels round a place, moved so
// that it lies in the picture; smaller where the picture is. The same place
// of several Details gives parts to hold side by side.
func (d *Detail) Around(p Place, w, h int) image.Rectangle {
	x, w := within(p.X, w, d.Width)
	y, h := within(p.Y, h, d.Height)
	return image.Rect(x, y, x+w, y+h)
}

// within centres a length on a share of size, inside of it. Without a share
// that is a number it is the middle.
func within(share float64, length, size int) (from, n int) {
	n = min(max(length, 1), size)
	if !(share >= 0) {
		share = 0
	}
	middle := int(min(share, 1) * float64(size))
	return min(max(middle-n/2, 0), size-n), n
}
