package station

import (
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// Overlay marks what is clipped on the pictures: the highlights, the shadows. As an
// act it switches those on or off that it names.
type Overlay struct{ High, Low bool }

func (Overlay) act() {}

func (o Overlay) on() bool { return o.High || o.Low }

// key is what is added to the name of a picture.
func (o Overlay) key() string {
	switch {
	case o.High && o.Low:
		return " clipped"
	case o.High:
		return " high"
	case o.Low:
		return " low"
	}
	return ""
}

// Overlay returns what is marked on the pictures.
func (d *Desk) Overlay() Overlay { return d.overlay }

func (d *Desk) toggleOverlay(o Overlay) {
	d.overlay.High = d.overlay.High != o.High
	d.overlay.Low = d.overlay.Low != o.Low
	d.version++
	d.settle()
}

// Hatching is finer on a small picture, as half blocks have it, and never so fine that
// scaling by a little would make it grey.
const (
	finest, coarsest = 6, 12
	strokes          = 120 // across the long edge
)

// draw returns the picture with what is clipped hatched: the highlights dark, rising
// to the right, the shadows bright, falling to the right. The picture that is given
// stays as it is, since others may show it.
func (o Overlay) draw(m *jpeg.Image) *jpeg.Image {
	if !o.on() || m == nil {
		return m
	}
	out := copyOf(m)
	period := min(max(max(m.Width, m.Height)/strokes, finest), coarsest)
	width := max(period/3, finest/2)
	pix.ClipRows(m, func(y int, row []uint8) {
		for x, bits := range row {
			switch {
			case bits == 0:
			case bits&pix.ClippedAll != 0 && o.High && (x+y)%period < width:
				ink(out, x, y, 0)
			case bits&pix.ClippedShadow != 0 && o.Low && (x+period-y%period)%period < width:
				ink(out, x, y, 255)
			}
		}
	})
	return out
}

// ink gives a pixel a brightness and no colour.
func ink(m *jpeg.Image, x, y int, luma byte) {
	m.Y[y*m.YStride+x] = luma
	if !m.Grey() {
		at := y/m.SubY*m.CStride + x/m.SubX
		m.Cb[at], m.Cr[at] = 128, 128
	}
}

// copyOf is a picture of its own with the same pixels.
func copyOf(m *jpeg.Image) *jpeg.Image {
	out := &jpeg.Image{}
	out.Reset(m.Width, m.Height, m.SubX, m.SubY, m.Grey())
	inlay(out.Y, out.YStride, 0, 0, m.Y, m.YStride, m.Width, m.Height)
	if !m.Grey() {
		w, h := m.ChromaSize()
		inlay(out.Cb, out.CStride, 0, 0, m.Cb, m.CStride, w, h)
		inlay(out.Cr, out.CStride, 0, 0, m.Cr, m.CStride, w, h)
	}
	out.Rows, out.Truncated = m.Rows, m.Truncated
	return out
}
