package preview

import (
	"context"
	"errors"
	"image"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/preview/exif"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// Luma is that of the whole upright picture as it is coded, whatever the colour space, in
// all orientations.
func TestLumaIsAPartOfTheWhole(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 2))
	file, previews := container(coloured(t, 130, 94))
	whole, err := jpeg.Decode(file[previews[0].Offset:][:previews[0].Length], jpeg.Options{Luma: true})
	if err != nil {
		t.Fatal(err)
	}
	for k := 1; k <= 8; k++ {
		d := opened(t, file, previews, View{Orientation: k, ColorSpace: SpaceAdobeRGB}, nil)
		all := pix.Orient(whole, k)
		for range 12 {
			x, y := random.IntN(d.Width), random.IntN(d.Height)
			r := image.Rect(x, y, x+1+random.IntN(d.Width-x), y+1+random.IntN(d.Height-y))
			got, err := d.Luma(t.Context(), r)
			if err != nil {
				t.Fatal(err)
			}
			if err := samePixels(got, pix.Cut(all, r, 1)); err != nil || got.Truncated {
				t.Errorf("orientation %d, %v: %v", k, r, err)
			}
		}
		if _, err := d.Luma(t.Context(), image.Rect(500, 500, 600, 600)); err == nil {
			t.Errorf("orientation %d: luma outside of the picture", k)
		}
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		if _, err := d.Luma(ctx, image.Rect(0, 0, 50, 50)); !errors.Is(err, context.Canceled) {
			t.Errorf("called off: %v", err)
		}
	}
}

// Of a damaged picture only what is there is measured, whichever edge is missing.
func TestLumaOfTruncated(t *testing.T) {
	src := greyJPEG(t, slices.Repeat([]byte{90, 160, 30}, 400*300/3), 400, 300)
	file, previews := container(src[:len(src)*7/10])
	for k := 1; k <= 8; k++ {
		d := opened(t, file, previews, View{Orientation: k}, nil)
		if !d.Truncated || d.rows < 100 || d.rows > 290 {
			t.Fatalf("%d rows", d.rows)
		}
		m, err := d.Luma(t.Context(), image.Rect(0, 0, d.Width, d.Height))
		if err != nil {
			t.Fatal(err)
		}
		w, h := 400, d.rows
		if pix.Turned(k) {
			w, h = h, w
		}
		if m.Width != w || m.Height != h || m.Truncated || slices.Contains(m.Y, 128) {
			t.Errorf("orientation %d: %dx%d, want %dx%d", k, m.Width, m.Height, w, h)
		}
		missing := pix.Upright(image.Pt(200, 299), 400, 300, k)
		if _, err := d.Luma(t.Context(), image.Rect(missing.X, missing.Y, missing.X+1, missing.Y+1)); err == nil {
			t.Errorf("orientation %d: luma of what is missing", k)
		}
	}
}

// Tiles lie inside, one in each region that has structure, in the same places of the
// scene in all orientations and when the picture is out of focus.
func TestTiles(t *testing.T) {
	nef := sample(t, "NEF.exif")
	photo, err := jpeg.Decode(nef[1189376:][:2287892], jpeg.Options{Scale: 2, Luma: true})
	if err != nil {
		t.Fatal(err)
	}
	w, h := photo.Width, photo.Height // 3000x2000
	places := func(pixels []byte, k int) []image.Point {
		file, previews := container(greyJPEG(t, pixels, w, h))
		d := opened(t, file, previews, View{Orientation: k}, nil)
		tiles := d.Tiles(12)
		regions := map[image.Point]bool{}
		var out []image.Point
		for _, r := range tiles {
			if !r.In(image.Rect(0, 0, d.Width, d.Height)) || r.Dx() != mostTile || r.Dy() != mostTile {
				t.Errorf("orientation %d: tile %v", k, r)
			}
			mid := pix.Stored(r, w, h, k)
			at := mid.Min.Add(mid.Max).Div(2)
			out = append(out, at)
			regions[image.Pt(at.X*4/w, at.Y*3/h)] = true
		}
		if len(tiles) < 11 || len(regions) < len(tiles)-2 { // one at an edge was moved into the picture
			t.Errorf("orientation %d: %d tiles in %d regions", k, len(tiles), len(regions))
		}
		if few := d.Tiles(3); !slices.Equal(few, tiles[:3]) {
			t.Errorf("three tiles are %v, not the first of %v", few, tiles)
		}
		return out
	}
	sharp := slices.Clone(photo.Y)
	want := places(sharp, 1)
	same := func(got []image.Point) int {
		n := 0
		for _, p := range got {
			if slices.ContainsFunc(want, func(q image.Point) bool {
				d := p.Sub(q)
				return max(d.X, -d.X, d.Y, -d.Y) <= mostTile/4
			}) {
				n++
			}
		}
		return n
	}
	for _, k := range []int{3, 6, 8} {
		if n := same(places(sharp, k)); n < 8 {
			t.Errorf("orientation %d: %d of %d tiles lie where they did", k, n, len(want))
		}
	}
	if n := same(places(soft(sharp, w, h, 2), 1)); n < 9 {
		t.Errorf("out of focus: %d of %d tiles lie where they did", n, len(want))
	}
}

func TestPlacesOfSmallPictures(t *testing.T) {
	for _, c := range []struct {
		w, h, sensorW, sensorH int
		small                  bool
	}{
		{1200, 800, 1200, 800, false}, // a picture that was finished at that size
		{1200, 800, 2400, 1600, false},
		{1200, 800, 2402, 1600, true},
		{1200, 800, 0, 0, true}, // of a sensor that is not known
		{800, 1200, 1600, 2400, false},
		{40, 30, 6000, 4000, true},
	} {
		file, previews := container(picture(t, c.w, c.h))
		d := opened(t, file, previews, View{Width: c.sensorW, Height: c.sensorH}, nil)
		if d.Small() != c.small {
			t.Errorf("%+v: small is %v", c, d.Small())
		}
		for _, r := range d.Tiles(12) {
			if !r.In(image.Rect(0, 0, c.w, c.h)) || r.Empty() {
				t.Errorf("%+v: tile %v", c, r)
			}
		}
		if _, ok := d.Subject(); ok {
			t.Errorf("%+v: a subject that nobody noted", c)
		}
		d = opened(t, file, previews, View{Width: c.sensorW, Height: c.sensorH}, &exif.Area{X: max(c.sensorW, c.w) / 2, Y: max(c.sensorH, c.h) / 2, Given: true})
		r, ok := d.Subject()
		if !ok || !r.In(image.Rect(0, 0, c.w, c.h)) || !d.Focus.In(r) || r.Dx() != min(mostTile, c.w) {
			t.Errorf("%+v: subject %v", c, r)
		}
		if d.Bytes() < int64(previews[0].Length)+int64(len(d.small.Y)) {
			t.Errorf("%+v: %d bytes", c, d.Bytes())
		}
	}
}
