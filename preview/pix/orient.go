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

// turn writes the upright form of a stored plane of w by h samples.
func turn(dst []byte, dstStride int, src []byte, srcStride, w, h, orientation int) {
	flipX := orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8
	flipY := orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7
	if Turned(orientation) {
		transpose(dst, dstStride, src, srcStride, w, h, flipX, flipY)
		return
	}
	for y := range h {
		from, to := src[y*srcStride:][:w], y
		if flipY {
			to = h - 1 - y
		}
		if out := dst[to*dstStride:][:w]; flipX {
			reverse(out, from)
		} else {
			copy(out, from)
		}
	}
}
