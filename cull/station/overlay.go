package station

import "garner/preview/jpeg"

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
	for y := range m.Height {
		for x, luma := range m.Y[y*m.YStride:][:m.Width] {
			switch {
			case o.High && luma >= clippedFrom-1 && (x+y)%period < width:
				if r, g, b := rgbAt(m, x, y); min(r, g, b) >= clippedFrom {
					ink(out, x, y, 0)
				}
			case o.Low && luma <= blackTo+1 && (x+period-y%period)%period < width:
				if r, g, b := rgbAt(m, x, y); max(r, g, b) <= blackTo {
					ink(out, x, y, 255)
				}
			}
		}
	}
	return out
}

// What counts as clipped in eight bits.
const (
	clippedFrom = 253
	blackTo     = 4
)

// ink gives a pixel a brightness and no colour.
func ink(m *jpeg.Image, x, y int, luma byte) {
	m.Y[y*m.YStride+x] = luma
	if !m.Grey() {
		at := y/m.SubY*m.CStride + x/m.SubX
		m.Cb[at], m.Cr[at] = 128, 128
	}
}

// rgbAt is a pixel in sRGB (JFIF 1.02, the inverse of YCbCr).
func rgbAt(m *jpeg.Image, x, y int) (r, g, b int) {
	l := int(m.Y[y*m.YStride+x]) << 16
	if m.Grey() {
		return l >> 16, l >> 16, l >> 16
	}
	at := y/m.SubY*m.CStride + x/m.SubX
	cb, cr := int(m.Cb[at])-128, int(m.Cr[at])-128
	l += 1 << 15
	return (l + 91881*cr) >> 16, (l - 22554*cb - 46802*cr) >> 16, (l + 116130*cb) >> 16
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
