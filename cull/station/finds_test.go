package station

import (
	"bytes"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"os"
	"path/filepath"
	"testing"
	"time"

	"garner/preview/jpeg"
)

// finds is a desk over one large picture whose brightness tells where in it one is.
func finds(t *testing.T, n int) *Finds {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, 2400, 1600))
	for y := range 1600 {
		for x := range 2400 {
			m.SetGray(x, y, color.Gray{Y: uint8(20 + 100*x/2400 + 100*y/1600)})
		}
	}
	var b bytes.Buffer
	if err := stdjpeg.Encode(&b, m, &stdjpeg.Options{Quality: 98}); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "one.jpg")
	if err := os.WriteFile(file, b.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	d := OpenFinds(FindsOptions{Frames: make([]FoundFrame, n), Taking: "there"})
	t.Cleanup(d.Close)
	for i := range d.frames {
		d.frames[i].File = file
	}
	d.SetPlaces(900, FanArea{Cols: 100, Rows: 40, Pixels: image.Pt(1000, 800)}, image.Pt(600, 400))
	settleFinds(t, d)
	return d
}

func settleFinds(t *testing.T, d *Finds) {
	t.Helper()
	for d.Busy() {
		n, ok := d.Next()
		if !ok {
			t.Fatal("a busy desk has no news")
		}
		d.Take(n)
		d.Drawn(d.Shot().ID, time.Time{})
	}
	if err := d.Broke(); err != nil {
		t.Fatal(err)
	}
}

// What is seen close are the file's own pixels, at the place that is said.
func TestFindsPixels(t *testing.T) {
	d := finds(t, 2)
	d.ToggleOne()
	settleFinds(t, d)
	if p := d.Shot().Picture; p == nil || p.Width != 900 || p.Height != 600 {
		t.Fatalf("the frame is shown as %+v", p)
	}
	d.ToggleLoupe()
	settleFinds(t, d)
	check := func() image.Rectangle {
		t.Helper()
		s := d.Shot()
		if s.Loupe == nil || s.Loupe.Part.Size() != image.Pt(600, 400) || s.Loupe.Size != image.Pt(2400, 1600) || !s.Whole {
			t.Fatalf("close is %+v, whole %v", s.Loupe, s.Whole)
		}
		for _, at := range []image.Point{{3, 3}, {590, 10}, {300, 200}, {10, 390}} {
			in := at.Add(s.Loupe.Part.Min)
			want := 20 + 100*in.X/2400 + 100*in.Y/1600
			if got := luma(s.Picture, at); got < want-3 || got > want+3 {
				t.Errorf("at %v of the file is %d, want %d", in, got, want)
			}
		}
		return s.Loupe.Part
	}
	was := check()
	d.Pan(Pan{X: 1, Y: -1})
	settleFinds(t, d)
	if is := check(); is == was {
		t.Error("it does not move")
	}
	for range 20 {
		d.Pan(Pan{X: -1})
	}
	if n := d.Notice(); n.Kind != Refused {
		t.Errorf("beyond the edge it says %+v", n)
	}
	// The next frame is seen close too, and not where the last one was moved to.
	d.Walk(1)
	settleFinds(t, d)
	check()
	d.SetPlaces(900, d.place, image.Point{})
	if d.InLoupe() {
		t.Error("pixels are shown where there is no room for them")
	}
}

func luma(m *jpeg.Image, at image.Point) int { return int(m.Y[at.Y*m.YStride+at.X]) }

// The pictures of many frames do not stay: a long walk through pages keeps what an album
// holds.
func TestFindsLetGo(t *testing.T) {
	d := finds(t, 400)
	for range 20 {
		d.WalkPages(1)
		settleFinds(t, d)
	}
	if d.Here().Number != 400 || d.album.bytes > albumBytes || len(d.album.pictures) > mostPictures {
		t.Errorf("frame %d; %d pictures of %d bytes are kept", d.Here().Number, len(d.album.pictures), d.album.bytes)
	}
	for _, tile := range d.Tiles() {
		if tile.Picture == nil {
			t.Errorf("frame %d is not shown", tile.Number)
		}
	}
}
