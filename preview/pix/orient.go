package pix

import "garner/preview/jpeg"

// This file implements the Orientation field (TIFF 6.0 section 8, Exif tag
// 274): which edge of the scene the stored 0th row and 0th column show.

// Turned reports whether a picture of that orientation swaps width and height
// when it is shown upright.
func Turned(orientation int) bool { return orientation >= 5 && orientation <= 8 }

// Orient returns m upright. Orientation is the Exif value 1..8 that came with
// the stored picture; any other value counts as 1. With 1 it is m itself, else
// a new Image.
//
// Chroma is turned with its own samples. Where a picture has an odd size, that
// moves it by half a chroma sample, which cannot be seen.
//
// Rows says how much of a truncated picture is real only while its rows run
// from the top; where they no longer do, Rows is 0.
func Orient(m *jpeg.Image, orientation int) *jpeg.Image {
	if orientation < 2 || orientation > 8 {
		return m
	}
	w, h, sx, sy := m.Width, m.Height, m.SubX, m.SubY
	if Turned(orientation) {
		w, h, sx, sy = h, w, sy, sx
	}
	out := &jpeg.Image{}
	out.Reset(w, h, sx, sy, m.Grey())
	turn(out.Y, out.YStride, m.Y, m.YStride, m.Width, m.Height, orientation)
	if !m.Grey() {
		cw, ch := m.ChromaSize()
		turn(out.Cb, out.CStride, m.Cb, m.CStride, cw, ch, orientation)
		turn(out.Cr, out.CStride, m.Cr, m.CStride, cw, ch, orientation)
	}
	out.Truncated, out.Rows = m.Truncated, out.Height
	if m.Truncated {
		out.Rows = 0
		if orientation == 2 {
			out.Rows = m.Rows
		}
	}
	return out
}

// tile is the side of the squares in which a plane is turned, so that reading
// across rows stays in the cache.
const tile = 32

// turn writes the upright form of a stored plane of w by h samples.
func turn(dst []byte, dstStride int, src []byte, srcStride, w, h, orientation int) {
	right, bottom := w-1, (h-1)*srcStride
	start, stepX, stepY := 0, 1, srcStride
	switch orientation {
	case 2: // mirror left and right
		start, stepX = right, -1
	case 3: // half a turn
		start, stepX, stepY = bottom+right, -1, -srcStride
	case 4: // mirror top and bottom
		start, stepY = bottom, -srcStride
	case 5: // transpose
		stepX, stepY = srcStride, 1
	case 6: // a quarter turn clockwise
		start, stepX, stepY = bottom, -srcStride, 1
	case 7: // transverse
		start, stepX, stepY = bottom+right, -srcStride, -1
	case 8: // a quarter turn anticlockwise
		start, stepX, stepY = right, srcStride, -1
	}
	if Turned(orientation) {
		w, h = h, w
	}
	for y0 := 0; y0 < h; y0 += tile {
		for x0 := 0; x0 < w; x0 += tile {
			x1 := min(x0+tile, w)
			for y := y0; y < min(y0+tile, h); y++ {
				at := start + x0*stepX + y*stepY
				for x := x0; x < x1; x++ {
					dst[y*dstStride+x] = src[at]
					at += stepX
				}
			}
		}
	}
}
