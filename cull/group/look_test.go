package group

import (
	"image"
	"image/color"
	"math"
	"testing"

	"github.com/corona10/goimagehash"
	"github.com/disintegration/imaging"

	"garner/cull"
)

// lookAt measures a picture as a frame's look is defined (cull.Look).
func lookAt(t testing.TB, img image.Image) *cull.Look {
	t.Helper()
	small := imaging.Fit(img, 256, 256, imaging.Box)
	grey := imaging.Grayscale(small)
	b := small.Bounds()
	w, h := b.Dx(), b.Dy()
	l := &cull.Look{Method: 1}
	for i := range l.Parts {
		x, y, size := cull.PartOf(i)
		r := image.Rect(int(x*float64(w)+.5), int(y*float64(h)+.5), int((x+size)*float64(w)+.5), int((y+size)*float64(h)+.5))
		hash, err := goimagehash.PerceptionHash(imaging.Resize(imaging.Crop(grey, r), 64, 64, imaging.Box))
		if err != nil {
			t.Fatal(err)
		}
		l.Parts[i] = hash.GetHash()
	}
	columns, rows := imaging.Resize(grey, cull.LookBars, 1, imaging.Box), imaging.Resize(grey, 1, cull.LookBars, imaging.Box)
	for i := range cull.LookBars {
		l.Columns[i], l.Rows[i] = columns.NRGBAAt(i, 0).R, rows.NRGBAAt(0, i).R
	}
	for i := range l.Detail {
		var sum float64
		x0, y0 := i%4*w/4, i/4*h/4
		for y := y0 + 1; y < y0+h/4-1; y++ {
			for x := x0 + 1; x < x0+w/4-1; x++ {
				at := func(x, y int) float64 { return float64(grey.NRGBAAt(x, y).R) }
				d := at(x-1, y) + at(x+1, y) + at(x, y-1) + at(x, y+1) - 4*at(x, y)
				sum += d * d
			}
		}
		l.Detail[i] = uint8(min(255, 16*math.Log2(1+sum/float64(w*h/16))))
	}
	mean := imaging.Resize(small, 1, 1, imaging.Box).At(0, 0).(color.NRGBA)
	l.Red, l.Green, l.Blue = mean.R, mean.G, mean.B
	return l
}

// see gives a frame the look of a picture.
func (f *Frame) see(t testing.TB, img image.Image) {
	l := lookAt(t, img)
	f.Look, f.Fingerprint, f.HasFingerprint = l, l.Parts[0], true
	f.Luma = (0.299*float64(l.Red) + 0.587*float64(l.Green) + 0.114*float64(l.Blue)) / 255
}

// framed is a share of a picture: its left and upper edge and its size.
func framed(img image.Image, x, y, size float64) image.Image {
	b := img.Bounds()
	w, h := float64(b.Dx()), float64(b.Dy())
	r := image.Rect(int(x*w), int(y*h), int((x+size)*w), int((y+size)*h)).Add(b.Min)
	return img.(interface {
		SubImage(image.Rectangle) image.Image
	}).SubImage(r)
}
