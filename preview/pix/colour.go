package pix

import "garner/preview/jpeg"

// meanColour returns the mean of the code values of red, green and blue of a picture
// with the mean luma y. But for what is clipped they are linear in the means of luma
// and chroma (JFIF 1.02, p. 4).
func meanColour(m *jpeg.Image, y float64) (r, g, b uint8) {
	w, h := m.ChromaSize()
	cb, cr := 0.0, 0.0
	if !m.Grey() {
		cb, cr = mean(m.Cb, m.CStride, w, h)-128, mean(m.Cr, m.CStride, w, h)-128
	}
	return code(y + float64(1.402*cr)), code(y - float64(0.344136286*cb) - float64(0.714136286*cr)), code(y + float64(1.772*cb))
}

func code(v float64) uint8 { return uint8(min(max(v+0.5, 0), 255)) }

func mean(plane []byte, stride, w, h int) float64 {
	sum := uint64(0)
	for y := range h {
		for _, v := range plane[y*stride:][:w] {
			sum += uint64(v)
		}
	}
	return float64(sum) / float64(w*h)
}

const (
	nearNeutral = 2    // how far from 128 chroma may be: rounding and the quantisation of a JPEG
	coloured    = 1000 // one in how many samples may be further off
)

// neutral reports whether a picture is black-and-white: none of it has a colour. A
// toned one, sepia or blue, has one everywhere and is none: its colour can be
// compared with that of others. Nor is a picture with one coloured part.
func neutral(m *jpeg.Image) bool {
	w, h := m.ChromaSize()
	left := w * h / coloured
	for _, plane := range [][]byte{m.Cb, m.Cr} {
		for y := range h {
			for _, v := range plane[y*m.CStride:][:w] {
				if v-(128-nearNeutral) > 2*nearNeutral {
					if left--; left < 0 {
						return false
					}
				}
			}
		}
	}
	return true
}
