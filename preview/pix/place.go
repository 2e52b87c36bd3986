package pix

import "image"

// This file maps places between a stored picture and its upright form, as
// Orient turns it.

// Upright returns where the pixel p of a stored picture of w by h pixels lies
// when the picture is upright. An orientation outside 1..8 counts as 1.
func Upright(p image.Point, w, h, orientation int) image.Point {
	switch orientation {
	case 2, 3, 7, 8:
		p.X = w - 1 - p.X
	}
	switch orientation {
	case 3, 4, 6, 7:
		p.Y = h - 1 - p.Y
	}
	if Turned(orientation) {
		p.X, p.Y = p.Y, p.X
	}
	return p
}

// Stored returns the rectangle of a stored picture of w by h pixels that the
// rectangle r of its upright form shows.
func Stored(r image.Rectangle, w, h, orientation int) image.Rectangle {
	if Turned(orientation) {
		r = image.Rect(r.Min.Y, r.Min.X, r.Max.Y, r.Max.X)
	}
	switch orientation {
	case 2, 3, 7, 8:
		r.Min.X, r.Max.X = w-r.Max.X, w-r.Min.X
	}
	switch orientation {
	case 3, 4, 6, 7:
		r.Min.Y, r.Max.Y = h-r.Max.Y, h-r.Min.Y
	}
	return r
}
