package preview

import (
	"bytes"
	"image"
	stdjpeg "image/jpeg"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/preview/exif"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// soft blurs a plane by the means of boxes, n samples to either side, three times
// over: nearly a Gaussian of deviation n.
func soft(pix []byte, w, h, n int) []byte {
	line := func(at, step, count int) {
		var sum int
		old := make([]byte, count)
		for i := range old {
			old[i] = pix[at+i*step]
		}
		get := func(i int) int { return int(old[min(max(i, 0), count-1)]) }
		for i := -n; i <= n; i++ {
			sum += get(i)
		}
		for i := range count {
			pix[at+i*step] = byte((sum + n) / (2*n + 1))
			sum += get(i+n+1) - get(i-n)
		}
	}
	pix = slices.Clone(pix)
	for range 3 {
		for y := range h {
			line(y*w, 1, w)
		}
		for x := range w {
			line(x, w, h)
		}
	}
	return pix
}

func greyJPEG(t testing.TB, pix []byte, w, h int) []byte {
	t.Helper()
	var b bytes.Buffer
	m := &image.Gray{Pix: pix, Stride: w, Rect: image.Rect(0, 0, w, h)}
	if err := stdjpeg.Encode(&b, m, &stdjpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A photo of 6 MP that is out of focus by some pixels, which a small preview does
// not show, but for one part: it is found, in all orientations.
func TestFocusOnTheSharpPart(t *testing.T) {
	nef := sample(t, "NEF.exif")
	photo, err := jpeg.Decode(nef[1189376:][:2287892], jpeg.Options{Scale: 2, Luma: true})
	if err != nil {
		t.Fatal(err)
	}
	w, h := photo.Width, photo.Height
	blurred := soft(photo.Y, w, h, 4)
	for i, at := range []image.Point{{1800, 1200}, {1100, 1300}, {1700, 600}, {2480, 1100}, {1330, 700}} {
		part := image.Rectangle{Min: at, Max: at.Add(image.Pt(260, 260))}
		mixed := slices.Clone(blurred)
		for y := part.Min.Y; y < part.Max.Y; y++ {
			copy(mixed[y*w+part.Min.X:][:part.Dx()], photo.Y[y*photo.YStride+part.Min.X:])
		}
		file, previews := container(greyJPEG(t, mixed, w, h))
		for k := 1; k <= 8; k++ {
			if k > 1 && i != k%5 && testing.Short() {
				continue
			}
			d := opened(t, file, previews, View{Orientation: k}, nil)
			stored := pix.Stored(image.Rectangle{Min: d.Focus, Max: d.Focus.Add(image.Pt(1, 1))}, w, h, k).Min
			if d.FocusFrom != FocusSharpest || !stored.In(part.Inset(-20)) {
				t.Errorf("sharp at %v, orientation %d: found %v (%s)", part, k, stored, d.FocusFrom)
			}
		}
	}
}

// Where nothing is sharper than the rest the middle is shown.
func TestFocusInTheMiddle(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	drawn := func(w, h int, v func(x, y int) float64) []byte {
		p := make([]byte, w*h)
		for i := range p {
			p[i] = byte(min(max(v(i%w, i/w), 0), 255))
		}
		return greyJPEG(t, p, w, h)
	}
	for _, c := range []struct {
		name string
		src  []byte
	}{
		{"black", drawn(1200, 800, func(x, y int) float64 { return 0 })},
		{"noise", drawn(1200, 800, func(x, y int) float64 { return 60 + 9*random.NormFloat64() })},
		{"noise on a gradient", drawn(1200, 800, func(x, y int) float64 { return float64(x)/6 + 20 + 6*random.NormFloat64() })},
		{"the same texture all over", drawn(1200, 800, func(x, y int) float64 { return 128 + 60*float64((x*x/7+y*y/5)%3-1) })},
		{"tiny", drawn(20, 9, func(x, y int) float64 { return float64(x * 12) })},
	} {
		file, previews := container(c.src)
		d := opened(t, file, previews, View{Orientation: 8}, &exif.Area{})
		if d.FocusFrom != FocusCentre || d.Focus != image.Pt(d.Width/2, d.Height/2) {
			t.Errorf("%s: %v by %s", c.name, d.Focus, d.FocusFrom)
		}
	}
}
