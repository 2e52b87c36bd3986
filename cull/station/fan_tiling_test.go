package station

import (
	"image"
	"testing"

	"pgregory.net/rapid"

	"garner/cull"
)

// lying are the formats of so many frames that lie, as most bodies make them.
func lying(n int) Formats { return Formats{Wide: n, Long: 1.5, Longest: 1.5} }

// The screens that count, as the station gives their places to the fan: the top
// line, the ribbon, the bottom line and the heading are taken off, and the last
// column.
func TestTilesOfTheScreensThatCount(t *testing.T) {
	small, middle, large := FanArea{Cols: 79, Rows: 20}, FanArea{Cols: 119, Rows: 36}, FanArea{Cols: 199, Rows: 56}
	largeBand := FanArea{Cols: 199, Rows: 54}
	for _, c := range []struct {
		name          string
		area          FanArea
		n             int
		columns, rows int
		atLeast       int // columns of a picture
	}{
		{"small, one", small, 1, 1, 1, 55},
		{"small, three", small, 3, 2, 2, 27},
		{"small, twelve: two pages of six", small, 12, 3, 2, 24},
		{"middle, one", middle, 1, 1, 1, 100},
		{"middle, three", middle, 3, 2, 2, 50},
		{"middle, twelve", middle, 12, 4, 3, 28},
		{"large, one", large, 1, 1, 1, 160},
		{"large, three", large, 3, 2, 2, 80},
		{"large, twelve", large, 12, 4, 3, 48},
		{"large, forty", large, 40, 7, 6, 20},
		{"large, a pass of fifty", largeBand, 50, 9, 6, 18},
		{"large, a pass of three hundred", largeBand, 300, 8, 6, 18},
	} {
		got := tile(c.area, c.n, lying(c.n))
		if got.Columns != c.columns || got.Rows != c.rows || got.Width < c.atLeast {
			t.Errorf("%s: %d x %d of %d x %d cells, want %d x %d of at least %d columns", c.name, got.Columns, got.Rows, got.Width, got.Height, c.columns, c.rows, c.atLeast)
		}
	}
}

// Whatever the place and the frames: tiles and their text stand inside, with a
// free cell at both sides, none on another; all of a moment are seen at once
// unless they would be too small; and more room never makes them smaller.
func TestTilesStandApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := FanArea{Cols: rapid.IntRange(1, 400).Draw(t, "cols"), Rows: rapid.IntRange(1, 150).Draw(t, "rows"), CellShape: rapid.SampledFrom([]float64{0, 1.6, 2, 2.4}).Draw(t, "cell")}
		wide, tall := rapid.IntRange(0, 60).Draw(t, "wide"), rapid.IntRange(0, 60).Draw(t, "tall")
		f := Formats{Wide: wide, Tall: tall, Long: rapid.SampledFrom([]float64{1, 1.25, 1.3333, 1.5, 3}).Draw(t, "long")}
		f.Longest = min(f.Long*rapid.SampledFrom([]float64{1, 1.5}).Draw(t, "longest"), 3)
		n := max(wide+tall, 1)
		got := tile(a, n, f)
		if got.Tiles() < 1 || got.Tiles() > n+got.Columns || got.Width < 1 || got.Height < 1 {
			t.Fatalf("%+v", got)
		}
		taken := map[image.Point]bool{}
		for i := range min(got.Tiles(), n) {
			col, row := got.At(i)
			if a.Cols >= 3 && a.Rows >= 2 && (col < 1 || col+got.Width > a.Cols-1 || row < 0 || row+got.Height+1 > a.Rows) {
				t.Fatalf("tile %d of %+v in %+v lies outside", i, got, a)
			}
			for y := range got.Height + 1 {
				for x := range got.Width {
					p := image.Pt(col+x, row+y)
					if taken[p] {
						t.Fatalf("two tiles on %v: %+v", p, got)
					}
					taken[p] = true
				}
			}
		}
		if got.Tiles() < n && got.Tiles() > 1 && (got.Width < minTileCols && tall == 0 || got.Height < 1) {
			t.Errorf("tiles of %d x %d cells", got.Width, got.Height)
		}
		more := a
		more.Cols, more.Rows = a.Cols+20, a.Rows+8
		if bigger := tile(more, n, f); bigger.Tiles() == got.Tiles() && bigger.Tiles() >= n && bigger.seen(more, f) < got.seen(a, f)*0.999 {
			t.Errorf("%+v in %+v, but only %+v in %+v", got, a, bigger, more)
		}
	})
}

// A picture that fills its tile has the tile's pixels.
func TestTileEdge(t *testing.T) {
	a := FanArea{Cols: 199, Rows: 56, Pixels: image.Pt(1990, 1120)}
	for _, c := range []struct {
		name string
		f    Formats
	}{{"lying", lying(12)}, {"standing", Formats{Tall: 12, Long: 1.5, Longest: 1.5}}, {"both", Formats{Wide: 6, Tall: 6, Long: 1.5, Longest: 1.5}}} {
		got := tile(a, 12, c.f)
		room := got.room(a)
		edge := got.edge(a, c.f)
		if room != image.Pt(got.Width*10, got.Height*20) {
			t.Errorf("%s: %d x %d cells of 10 x 20 are %v", c.name, got.Width, got.Height, room)
		}
		if edge > max(room.X, room.Y) || edge < min(room.X, room.Y) {
			t.Errorf("%s: an edge of %d in %v", c.name, edge, room)
		}
	}
}

// A frame of another format makes the tiles of the others no smaller than the room
// is, and what a file says of its sensor counts less than the picture in it.
func TestFormats(t *testing.T) {
	a := FanArea{Cols: 199, Rows: 56}
	with := lying(11).add(1000, 1000)
	if got := tile(a, 12, with); got.Width < 48 {
		t.Errorf("a square picture among others leaves tiles of %d columns", got.Width)
	}
	f := cull.Frame{Previews: []cull.Preview{{Width: 640, Height: 400}, {Width: 240, Height: 160, Whole: true}}}
	f.Shot.Width, f.Shot.Height = 64, 64
	if w, h := sizeOf(f); w != 240 || h != 160 {
		t.Errorf("%d x %d", w, h)
	}
	f.Shot.Orientation = 6
	if w, h := sizeOf(f); w != 160 || h != 240 {
		t.Errorf("turned %d x %d", w, h)
	}
	f.Previews = nil
	if w, h := sizeOf(f); w != 64 || h != 64 {
		t.Errorf("of the sensor %d x %d", w, h)
	}
}
