package like

import (
	"image"
	"slices"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// This file cuts away what is round a picture: the bars of a letterbox, the screen of a
// telephone with its clock and its buttons, a mount of any flat colour. What looks like
// a border may be part of the picture, as a white sky is: so every way to cut is one
// more picture to look for, beside the whole.

const (
	borderTone = 6    // how far, in luma, samples of a border are from each other: what coding as a JPEG does
	bare       = 0.97 // share of a line that a border without writing takes at least
	written    = 0.62 // and one with a line of writing or buttons
	pictureMin = 0.2  // share of the width and of the height that a picture has at least
	sameCut    = 0.97 // share that two ways to cut have in common at least to be one
)

// cuts are the picture itself and what is left of it within borders.
func cuts(m *jpeg.Image) []*jpeg.Image {
	out := []*jpeg.Image{m}
	for _, r := range framed(m) {
		out = append(out, pix.Cut(m, r, 1))
	}
	return out
}

// framed are the parts that have borders round them: without writing and with, rows
// looked at before columns and after them.
func framed(m *jpeg.Image) []image.Rectangle {
	whole := image.Rect(0, 0, m.Width, m.Height)
	had := []image.Rectangle{whole}
	for _, share := range []float64{bare, written} {
		for _, rowsFirst := range []bool{true, false} {
			r := within(m, within(m, whole, rowsFirst, share), !rowsFirst, share)
			if float64(r.Dx()) < max(16, pictureMin*float64(m.Width)) || float64(r.Dy()) < max(16, pictureMin*float64(m.Height)) {
				continue
			}
			if !slices.ContainsFunc(had, func(h image.Rectangle) bool { return alike(h, r) }) {
				had = append(had, r)
			}
		}
	}
	return had[1:]
}

func alike(a, b image.Rectangle) bool {
	area := func(r image.Rectangle) float64 { return float64(r.Dx()) * float64(r.Dy()) }
	return area(a.Intersect(b)) > sameCut*max(area(a), area(b))
}

// within leaves the longest run of lines that are no border: of rows if down is set, else
// of columns. Where there is a border the line next to it goes too: coding smears it.
func within(m *jpeg.Image, r image.Rectangle, down bool, share float64) image.Rectangle {
	n := r.Dx()
	if down {
		n = r.Dy()
	}
	from, to, start := 0, 0, 0
	for i := range n + 1 {
		if i < n && !border(m, r, i, down, share) {
			continue
		}
		if i-start > to-from {
			from, to = start, i
		}
		start = i + 1
	}
	if from > 0 {
		from++
	}
	if to < n {
		to--
	}
	if from >= to {
		return image.Rectangle{}
	}
	if down {
		return image.Rect(r.Min.X, r.Min.Y+from, r.Max.X, r.Min.Y+to)
	}
	return image.Rect(r.Min.X+from, r.Min.Y, r.Min.X+to, r.Max.Y)
}

// border reports whether a share of a line has one tone.
func border(m *jpeg.Image, r image.Rectangle, line int, down bool, share float64) bool {
	var tones [256 + 2*borderTone]int
	n := 0
	if down {
		for _, v := range m.Y[(r.Min.Y+line)*m.YStride+r.Min.X:][:r.Dx()] {
			tones[int(v)+borderTone]++
		}
		n = r.Dx()
	} else {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			tones[int(m.Y[y*m.YStride+r.Min.X+line])+borderTone]++
		}
		n = r.Dy()
	}
	near := 0
	for i, k := range tones {
		if near += k; i > borderTone {
			near -= tones[i-borderTone-1]
		}
		if float64(near) >= share*float64(n) {
			return true
		}
	}
	return false
}
