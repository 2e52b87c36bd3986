package pix

import (
	"image"

	"garner/preview/jpeg"
)

// Luma returns the luma plane of m as a grey picture, sharing its samples.
func Luma(m *jpeg.Image) *image.Gray {
	return &image.Gray{Pix: m.Y, Stride: m.YStride, Rect: image.Rect(0, 0, m.Width, m.Height)}
}

// MeanLuma returns the mean of the luma samples on a scale of 0 (black) to 1.
// It is the mean of coded values, not of light. Rows that are missing from a
// truncated picture are left out where Rows says which they are.
func MeanLuma(m *jpeg.Image) float64 {
	rows := m.Height
	if m.Truncated && m.Rows > 0 {
		rows = m.Rows
	}
	if rows == 0 || m.Width == 0 {
		return 0
	}
	sum := uint64(0)
	for y := range rows {
		for _, v := range m.Y[y*m.YStride:][:m.Width] {
			sum += uint64(v)
		}
	}
	return float64(sum) / float64(rows*m.Width) / 255
}
