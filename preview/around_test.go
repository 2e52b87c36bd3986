package preview

import (
	"image"
	"math"
	"testing"
)

func TestAround(t *testing.T) {
	large, small := &Detail{Width: 6000, Height: 4000}, &Detail{Width: 600, Height: 400}
	p := large.PlaceOf(image.Pt(1500, 3000))
	for _, c := range []struct {
		name string
		d    *Detail
		p    Place
		w, h int
		want image.Rectangle
	}{
		{"in the middle of the part", large, p, 800, 600, image.Rect(1100, 2700, 1900, 3300)},
		{"the same of a smaller one", small, p, 80, 60, image.Rect(110, 270, 190, 330)},
		{"at the edge", large, Place{0, 1}, 800, 600, image.Rect(0, 3400, 800, 4000)},
		{"larger than the picture", small, p, 800, 300, image.Rect(0, 100, 600, 400)},
		{"beyond", small, Place{7, -7}, 100, 100, image.Rect(500, 0, 600, 100)},
		{"no number", small, Place{math.NaN(), math.Inf(1)}, 100, 100, image.Rect(0, 300, 100, 400)},
		{"no size", small, Place{0.5, 0.5}, 0, -5, image.Rect(300, 200, 301, 201)},
	} {
		if got := c.d.Around(c.p, c.w, c.h); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
