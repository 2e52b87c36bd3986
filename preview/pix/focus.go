package pix

import (
	"image"

	"garner/preview/jpeg"
)

// Focus is how sharp a part of a picture is. Edge means the same in every picture;
// Energy only compares parts that show the same thing.
type Focus struct {
	Energy float64 // gradient energy less what noise has of it, relative to brightness; of no unit, more is sharper
	Edge   float64 // blur of the strongest edges, the median, as the deviation of a Gaussian in pixels; 0 = there is no edge
	Edge80 float64 // the same, of the blurrier ones: four fifths are at most so blurred
	Noise  float64 // standard deviation of the noise, in code values of 0..255
	Pixels int     // short side of the part in pixels; 0 = it is too small, or not there
}

// leastFocus is the short side, in pixels, of the smallest part that is measured.
const leastFocus = 24

// FocusOf measures the part r of the luma of m, which is clipped to the rows that are
// there. It has to be a part at full size: made smaller, a picture hides its blur.
func FocusOf(m *jpeg.Image, r image.Rectangle) Focus {
	if !m.Valid() {
		return Focus{}
	}
	rows := m.Height
	if m.Truncated {
		rows = min(rows, m.Rows)
	}
	r = r.Intersect(image.Rect(0, 0, m.Width, rows))
	if min(r.Dx(), r.Dy()) < leastFocus {
		return Focus{}
	}
	var sum, squares float64
	for y := r.Min.Y + 1; y < r.Max.Y-1; y++ {
		row := m.Y[y*m.YStride:]
		for x := r.Min.X + 1; x < r.Max.X-1; x++ {
			across := float64(row[x+1]) - float64(row[x-1])
			down := float64(m.Y[(y+1)*m.YStride+x]) - float64(m.Y[(y-1)*m.YStride+x])
			sum, squares = sum+float64(row[x]), squares+(across*across+down*down)/4
		}
	}
	n := float64((r.Dx() - 2) * (r.Dy() - 2))
	level := sum/n + 8
	return Focus{Energy: squares / n / (level * level), Pixels: min(r.Dx(), r.Dy())}
}
