package pix

import "garner/preview/jpeg"

// Resize returns m at exactly w by h pixels, in its own subsampling. Where it
// gets smaller it is averaged over the area, where it gets larger samples are
// interpolated between their neighbours. It returns nil for a picture that is
// not valid or a size that is not positive.
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
	shrink(dst.Y, dst.YStride, m.Y, m.YStride, taps(w, m.Width, m.Width, w), taps(h, m.Height, m.Height, h))
	if !m.Grey() {
		cw, ch := m.ChromaSize()
		ow, oh := dst.ChromaSize()
		across, down := taps(ow, cw, m.Width, w), taps(oh, ch, m.Height, h)
		shrink(dst.Cb, dst.CStride, m.Cb, m.CStride, across, down)
		shrink(dst.Cr, dst.CStride, m.Cr, m.CStride, across, down)
	}
	return dst
}

// taps are spans for either direction: over the area where to is not larger
// than from, else the two samples whose middles are next to that of the
// result's.
func taps(n, size, from, to int) []span {
	if to <= from {
		return spans(n, size, from, to)
	}
	out := make([]span, n)
	weights := make([]uint32, 2*n)
	for i := range out {
		at := (float64(i)+0.5)*float64(from)/float64(to) - 0.5
		at = min(max(at, 0), float64(size-1))
		first := int(at)
		part := uint32((at - float64(first)) * one)
		if part == 0 {
			weights[2*i] = one
			out[i] = span{first, weights[2*i : 2*i+1]}
			continue
		}
		weights[2*i], weights[2*i+1] = one-part, part
		out[i] = span{first, weights[2*i : 2*i+2]}
	}
	return out
}
