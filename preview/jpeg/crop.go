package jpeg

import "image"

// frameOf returns what is given when part is wanted of a picture of w by h
// samples: in samples of the scale, from a whole chroma sample on.
func frameOf(part image.Rectangle, scale, subX, subY, w, h int) image.Rectangle {
	return image.Rect(
		part.Min.X/(scale*subX)*subX,
		part.Min.Y/(scale*subY)*subY,
		min(ceilDiv(part.Max.X, scale), ceilDiv(w, scale)),
		min(ceilDiv(part.Max.Y, scale), ceilDiv(h, scale)),
	)
}

// crop makes frame, in samples of the whole picture, the part of it that is
// left, where m begins at frame.Min-from of it. The planes keep their memory, so
// that it can be used again.
func (m *Image) crop(frame image.Rectangle, from image.Point) {
	m.Origin = frame.Min
	if from == (image.Point{}) && frame.Dx() == m.Width && frame.Dy() == m.Height {
		return
	}
	real := m.Rows - from.Y
	m.Width, m.Height = frame.Dx(), frame.Dy()
	m.Rows = min(max(real, 0), m.Height)
	m.Truncated = m.Truncated && m.Rows < m.Height
	m.Y = move(m.Y, m.YStride, from.X, from.Y, m.Width, m.Height)
	if m.Grey() {
		return
	}
	w, h := m.ChromaSize()
	m.Cb = move(m.Cb, m.CStride, from.X/m.SubX, from.Y/m.SubY, w, h)
	m.Cr = move(m.Cr, m.CStride, from.X/m.SubX, from.Y/m.SubY, w, h)
}

// move brings the w by h samples from x, y on to the beginning of a plane and
// cuts it behind them.
func move(pix []byte, stride, x, y, w, h int) []byte {
	if x > 0 || y > 0 {
		for row := range h {
			copy(pix[row*stride:][:w], pix[(y+row)*stride+x:][:w])
		}
	}
	return pix[:(h-1)*stride+w]
}
