package resample

import "image"

// This file implements the Orientation field (TIFF 6.0 section 8, Exif tag 274):
// which edge of the scene the stored 0th row and 0th column show. What is none of
// 1..8 counts as 1.

// UprightSize is the size of a stored picture when it is shown upright.
func UprightSize(w, h, orientation int) (int, int) {
	if turned(orientation) {
		return h, w
	}
	return w, h
}

func turned(orientation int) bool { return orientation >= 5 && orientation <= 8 }

// Place writes row y of a stored picture of w by h pixels, three bytes each, into
// its place in the upright picture, whose rows lie in dst without gaps.
func Place(dst []byte, w, h, orientation, y int, row []byte) {
	upright, _ := UprightSize(w, h, orientation)
	row = row[:w*channels]
	at, step := 0, 1 // pixels
	switch orientation {
	case 2:
		at, step = y*upright+w-1, -1
	case 3:
		at, step = (h-1-y)*upright+w-1, -1
	case 4:
		at = (h - 1 - y) * upright
	case 5:
		at, step = y, upright
	case 6:
		at, step = h-1-y, upright
	case 7:
		at, step = (w-1)*upright+h-1-y, -upright
	case 8:
		at, step = (w-1)*upright+y, -upright
	default:
		at = y * upright
	}
	if step == 1 {
		copy(dst[at*channels:][:len(row)], row)
		return
	}
	at, step = at*channels, step*channels
	for ; len(row) >= channels; row = row[channels:] {
		p := dst[at : at+channels : at+channels]
		p[0], p[1], p[2] = row[0], row[1], row[2]
		at += step
	}
}

// stored is where a part of the upright picture lies in the stored one, of w by h
// pixels.
func stored(r image.Rectangle, w, h, orientation int) image.Rectangle {
	switch orientation {
	case 2:
		return image.Rect(w-r.Max.X, r.Min.Y, w-r.Min.X, r.Max.Y)
	case 3:
		return image.Rect(w-r.Max.X, h-r.Max.Y, w-r.Min.X, h-r.Min.Y)
	case 4:
		return image.Rect(r.Min.X, h-r.Max.Y, r.Max.X, h-r.Min.Y)
	case 5:
		return image.Rect(r.Min.Y, r.Min.X, r.Max.Y, r.Max.X)
	case 6:
		return image.Rect(r.Min.Y, h-r.Max.X, r.Max.Y, h-r.Min.X)
	case 7:
		return image.Rect(w-r.Max.Y, h-r.Max.X, w-r.Min.Y, h-r.Min.X)
	case 8:
		return image.Rect(w-r.Max.Y, r.Min.X, w-r.Min.Y, r.Max.X)
	}
	return r
}
