package recall

import (
	"image"
	"image/color"
	"image/draw"
	stdjpeg "image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// scenery is a picture of its own: discs and bars of many tones.
func scenery(seed uint64) *image.RGBA {
	r := rand.New(rand.NewPCG(seed, 613))
	m := image.NewRGBA(image.Rect(0, 0, 720, 480))
	tone := func() color.RGBA { return color.RGBA{uint8(r.IntN(256)), uint8(r.IntN(256)), uint8(r.IntN(256)), 255} }
	draw.Draw(m, m.Rect, image.NewUniform(tone()), image.Point{}, draw.Src)
	for range 40 {
		x, y, w, h, c := r.IntN(720), r.IntN(480), 20+r.IntN(160), 20+r.IntN(160), tone()
		if r.IntN(2) == 0 {
			draw.Draw(m, image.Rect(x, y, x+w, y+h), image.NewUniform(c), image.Point{}, draw.Src)
			continue
		}
		for dy := -h; dy <= h; dy++ {
			for dx := -h; dx <= h; dx++ {
				if p := (image.Point{X: x + dx, Y: y + dy}); dx*dx+dy*dy <= h*h/2 && p.In(m.Rect) {
					m.SetRGBA(p.X, p.Y, c)
				}
			}
		}
	}
	return m
}

// sent is a picture that somebody sends back: seed's, cropped to 80 %, at half the size,
// as a PNG or JPEG.
func sent(t testing.TB, seed uint64, name string) string {
	t.Helper()
	from := scenery(seed)
	m := image.NewRGBA(image.Rect(0, 0, 288, 192))
	for y := range 192 {
		for x := range 288 {
			m.Set(x, y, from.At(72+2*x, 48+2*y))
		}
	}
	path := filepath.Join(t.TempDir(), name)
	f, err := os.Create(path)
	must(t, err)
	defer f.Close()
	if filepath.Ext(name) == ".png" {
		must(t, png.Encode(f, m))
	} else {
		must(t, stdjpeg.Encode(f, m, &stdjpeg.Options{Quality: 60}))
	}
	return path
}
