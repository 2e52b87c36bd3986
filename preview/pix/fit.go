package pix

import "garner/preview/jpeg"

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

// Fit returns m with its long edge brought down to longEdge pixels as by Resize, or
// m itself if it is not larger.
func Fit(m *jpeg.Image, longEdge int) *jpeg.Image {
	w, h := Size(m.Width, m.Height, longEdge)
	if out := Resize(m, w, h); out != nil {
		return out
	}
	return m
}

// Thumb returns the upright thumbnail of a stored picture: ThumbEdge pixels on
// its long edge, or as large as it is.
func Thumb(m *jpeg.Image, orientation int) *jpeg.Image {
	return Orient(Fit(m, ThumbEdge), orientation)
}
