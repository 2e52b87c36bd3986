package imprint

import "image"

// Mark is a stamp for pictures of one size. It does not change and may be used
// by several goroutines.
type Mark struct {
	width, height int         // of the pictures
	at            image.Point // of the first pixel in the picture
	w, h          int         // pixels, those of the outline included
	pad           int         // what the outline adds on each side
	pix           []byte      // red, green, blue, alpha; the colours do not carry the alpha
}

// Bounds returns the part of the picture that is touched.
func (m *Mark) Bounds() image.Rectangle {
	if m == nil {
		return image.Rectangle{}
	}
	return image.Rect(m.at.X, m.at.Y, m.at.X+m.w, m.at.Y+m.h).Intersect(image.Rect(0, 0, m.width, m.height))
}

// Onto lays the stamp onto row y of a picture, three coded values a pixel.
// Colours are mixed as they are coded, which is what an opacity is commonly
// understood of.
func (m *Mark) Onto(y int, rgb []byte) {
	b := m.Bounds()
	if y < b.Min.Y || y >= b.Max.Y || len(rgb) < 3*b.Max.X {
		return
	}
	row := m.pix[4*((y-m.at.Y)*m.w+b.Min.X-m.at.X):][:4*b.Dx()]
	to := rgb[3*b.Min.X : 3*b.Max.X]
	for i := 0; i < len(row); i += 4 {
		p, t := row[i:i+4:i+4], to[i/4*3:i/4*3+3:i/4*3+3]
		a := uint32(p[3])
		if a == 0 {
			continue
		}
		for c := range 3 {
			t[c] = byte((uint32(t[c])*(255-a) + uint32(p[c])*a + 127) / 255)
		}
	}
}

// fade makes all of it fainter.
func (m *Mark) fade(opacity float64) {
	part := uint32(opacity*65536 + 0.5)
	for i := 3; i < len(m.pix); i += 4 {
		m.pix[i] = byte((uint32(m.pix[i])*part + 1<<15) >> 16)
	}
}

// over puts letters of one tone, covering what mask says of 255, onto an outline
// of another.
func (m *Mark) over(mask, outline []byte, tone, around byte) {
	for i, a := range mask {
		p := m.pix[4*i : 4*i+4]
		below := uint32(outline[i]) * (255 - uint32(a)) / 255
		all := uint32(a) + below
		if all == 0 {
			continue
		}
		v := byte((uint32(a)*uint32(tone) + below*uint32(around) + all/2) / all)
		p[0], p[1], p[2], p[3] = v, v, v, byte(all)
	}
}
