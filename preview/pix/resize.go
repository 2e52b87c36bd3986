package pix

import "garner/preview/jpeg"

// Resize returns m at exactly w by h pixels, in its own subsampling. Of a picture
// less than twice as large, luma goes through a Lanczos filter, since averaging over
// one to two samples would blur; a larger one is averaged over the area. Where it
// gets larger samples are interpolated. It returns nil for a picture that is not
// valid or a size that is not positive.
//
// Columns are done before rows, with a rounding between them: a sample may be off by
// one.
func Resize(m *jpeg.Image, w, h int) *jpeg.Image {
	return ResizeInto(&jpeg.Image{}, m, w, h)
}

// ResizeInto is Resize into an Image whose planes may be reused, which it
// returns. A picture that has the size already is returned itself.
func ResizeInto(dst, m *jpeg.Image, w, h int) *jpeg.Image {
	if !m.Valid() || w <= 0 || h <= 0 {
		return nil
	}
	if m.Width == w && m.Height == h {
		return m
	}
	dst.Reset(w, h, m.SubX, m.SubY, m.Grey())
	dst.Truncated, dst.Rows = m.Truncated, m.Rows*h/m.Height
	x, y := axis{m.Width, w, m.Width, w}, axis{m.Height, h, m.Height, h}
	scale{x, y, true}.planes(dst.YStride, m.YStride, job{dst.Y, m.Y})
	if !m.Grey() {
		x.size, y.size = m.ChromaSize()
		x.n, y.n = dst.ChromaSize()
		scale{x, y, false}.planes(dst.CStride, m.CStride, job{dst.Cb, m.Cb}, job{dst.Cr, m.Cr})
	}
	return dst
}
