package pix

import (
	"image"

	"garner/preview/jpeg"
)

// Cut returns the part r of a stored picture, upright. R counts the picture's
// own samples and is clipped to it; nil if nothing is left. With orientation 1
// the part may share its planes with m.
//
// The part shows the very colours that the whole shows there: where the chroma
// samples no longer begin with the part, they are repeated for every luma
// sample along that axis, so that the subsampling of the part may be less.
func Cut(m *jpeg.Image, r image.Rectangle, orientation int) *jpeg.Image {
	if !m.Valid() {
		return nil
	}
	r = r.Intersect(image.Rect(0, 0, m.Width, m.Height))
	if r.Empty() {
		return nil
	}
	if up, inner, ok := uprightAround(m, r, orientation); ok {
		m, r, orientation = up, inner, 1
	}
	out := &jpeg.Image{Width: r.Dx(), Height: r.Dy(), Rows: r.Dy(), SubX: m.SubX, SubY: m.SubY}
	out.Y, out.YStride = m.Y[r.Min.Y*m.YStride+r.Min.X:], m.YStride
	if m.Truncated && m.Rows < r.Max.Y {
		out.Truncated, out.Rows = true, max(0, m.Rows-r.Min.Y)
	}
	if !m.Grey() {
		// Chroma is counted from the corner that becomes the upright origin.
		corner := r.Min
		switch orientation {
		case 2, 3, 7, 8:
			corner.X = r.Max.X
		}
		switch orientation {
		case 3, 4, 6, 7:
			corner.Y = r.Max.Y
		}
		cutChroma(out, m, r, corner)
	}
	return Orient(out, orientation)
}

// uprightAround turns the part r with as much round it as makes whole chroma samples,
// which is less to turn than chroma that is repeated, and says where in it the part
// lies. It does nothing where that is not all inside the picture, or where rows are
// missing.
func uprightAround(m *jpeg.Image, r image.Rectangle, orientation int) (up *jpeg.Image, inner image.Rectangle, ok bool) {
	x, y := r.Min.X/m.SubX*m.SubX, r.Min.Y/m.SubY*m.SubY
	around := image.Rect(x, y, roundUp(r.Max.X, m.SubX), roundUp(r.Max.Y, m.SubY))
	if orientation < 2 || around == r || m.Grey() || m.Truncated || around.Max.X > m.Width || around.Max.Y > m.Height {
		return nil, r, false
	}
	up = Cut(m, around, orientation)
	r = r.Sub(around.Min)
	a := Upright(r.Min, around.Dx(), around.Dy(), orientation)
	b := Upright(r.Max.Sub(image.Pt(1, 1)), around.Dx(), around.Dy(), orientation)
	inner = image.Rect(min(a.X, b.X), min(a.Y, b.Y), max(a.X, b.X)+1, max(a.Y, b.Y)+1)
	return up, inner, true
}

// cutChroma gives out, which is the part r of m, its chroma.
func cutChroma(out, m *jpeg.Image, r image.Rectangle, corner image.Point) {
	odd := corner.X%m.SubX != 0
	if odd {
		out.SubX = 1
	}
	if corner.Y%m.SubY != 0 {
		out.SubY = 1
	}
	if out.SubX == m.SubX && out.SubY == m.SubY {
		at := r.Min.Y/m.SubY*m.CStride + r.Min.X/m.SubX
		out.Cb, out.Cr, out.CStride = m.Cb[at:], m.Cr[at:], m.CStride
		return
	}
	out.Cb, out.Cr = []byte{}, []byte{} // not grey
	w, h := out.ChromaSize()
	out.CStride = w
	spread := func(src []byte) []byte {
		dst := make([]byte, w*h)
		for y := range h {
			from := src[(r.Min.Y/out.SubY+y)*out.SubY/m.SubY*m.CStride:]
			to := dst[y*w:][:w]
			if !odd {
				copy(to, from[r.Min.X/m.SubX:])
				continue
			}
			repeat(to, from[r.Min.X/m.SubX:], m.SubX, r.Min.X%m.SubX)
		}
		return dst
	}
	out.Cb, out.Cr = spread(m.Cb), spread(m.Cr)
}

// repeat writes each sample n times, without the first skipped ones.
func repeat(dst, src []byte, n, skip int) {
	for skip > 0 && skip < n && len(dst) > 0 {
		dst[0] = src[0]
		dst, skip = dst[1:], skip+1
		if skip == n {
			src = src[1:]
		}
	}
	if n == 2 { // nearly always
		for i, v := range src[:len(dst)/2] {
			dst[2*i], dst[2*i+1] = v, v
		}
		src, dst = src[len(dst)/2:], dst[len(dst)/2*2:]
	}
	for i := range dst {
		dst[i] = src[i/n]
	}
}
