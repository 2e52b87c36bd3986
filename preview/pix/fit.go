package pix

import (
	"image"

	"github.com/disintegration/imaging"

	"garner/preview/jpeg"
)

// ThumbEdge is the long edge of a thumbnail in pixels.
const ThumbEdge = 256

// Size returns the size of a w by h picture whose long edge is brought down to
// longEdge. It never grows, and neither edge becomes 0.
func Size(w, h, longEdge int) (int, int) {
	long := max(w, h)
	if longEdge <= 0 || long <= longEdge {
		return w, h
	}
	scaled := func(n int) int { return max(1, (n*longEdge*2+long)/(2*long)) }
	return scaled(w), scaled(h)
}

// Fit returns m with its long edge brought down to longEdge pixels, or m itself
// if it is not larger. Large pictures are averaged over the area; the luma of
// small ones that become only a little smaller goes through a Lanczos filter,
// since averaging over one to two pixels would blur them.
func Fit(m *jpeg.Image, longEdge int) *jpeg.Image {
	w, h := Size(m.Width, m.Height, longEdge)
	if w == m.Width && h == m.Height {
		return m
	}
	out := &jpeg.Image{}
	out.Reset(w, h, m.SubX, m.SubY, m.Grey())
	if !fine(out, m) {
		shrink(out.Y, out.YStride, m.Y, m.YStride, spans(w, m.Width, m.Width, w), spans(h, m.Height, m.Height, h))
	}
	if !m.Grey() {
		cw, ch := m.ChromaSize()
		ow, oh := out.ChromaSize()
		across, down := spans(ow, cw, m.Width, w), spans(oh, ch, m.Height, h)
		shrink(out.Cb, out.CStride, m.Cb, m.CStride, across, down)
		shrink(out.Cr, out.CStride, m.Cr, m.CStride, across, down)
	}
	out.Truncated = m.Truncated
	out.Rows = m.Rows * h / m.Height
	return out
}

// smallPixels is the picture up to which the Lanczos filter is quick enough.
const smallPixels = 1 << 20

// fine fills the luma of dst by a Lanczos filter where that is worth it. The
// filter's library panics on pictures whose planes are shorter than their
// bounds (CVE-2023-36308); the one it gets here is made from checked planes.
func fine(dst, src *jpeg.Image) bool {
	if src.Width*src.Height > smallPixels || 2*src.Width >= 3*dst.Width || !src.Valid() {
		return false
	}
	luma := &image.Gray{Pix: src.Y, Stride: src.YStride, Rect: image.Rect(0, 0, src.Width, src.Height)}
	res := imaging.Resize(luma, dst.Width, dst.Height, imaging.Lanczos)
	for y := range dst.Height {
		row := res.Pix[y*res.Stride:]
		for x := range dst.Width {
			dst.Y[y*dst.YStride+x] = row[4*x]
		}
	}
	return true
}

// Thumb returns the upright thumbnail of a stored picture: ThumbEdge pixels on
// its long edge, or as large as it is.
func Thumb(m *jpeg.Image, orientation int) *jpeg.Image {
	return Orient(Fit(m, ThumbEdge), orientation)
}
