package station

import (
	"image"
	"math"
)

const (
	// minTileCols and minTileRows are the smallest picture of a tile, in cells: the
	// format 3:2 on cells twice as high as wide, enough to tell frames of a moment
	// apart.
	minTileCols, minTileRows = 18, 6
	// maxTiles is how many tiles there are at a time, and pageTiles how many where
	// there are more than that: more at once no eye compares.
	maxTiles, pageTiles = 60, 48
	// tileGap is how many cells stay free between two tiles of a row, and at least to
	// the left and right of all: there it shows which one the cursor is on.
	tileGap = 1
)

// FanArea is the place for a fan on the screen.
type FanArea struct {
	Cols, Rows int
	Pixels     image.Point // that a picture over all of it would have
	CellShape  float64     // height of a cell in parts of its width; 0 = 2
}

func (a FanArea) empty() bool { return a.Cols <= 0 || a.Rows <= 0 }

func (a FanArea) cellShape() float64 {
	if a.CellShape > 0.2 && a.CellShape < 20 {
		return a.CellShape
	}
	return 2
}

// Formats is what the frames of a fan look like: how many lie and how many stand,
// and the long side of the most square of them, and of the least square, in parts of
// the short one.
type Formats struct {
	Wide, Tall    int
	Long, Longest float64
}

func (f Formats) add(w, h int) Formats {
	if w <= 0 || h <= 0 {
		w, h = 3, 2
	}
	long := min(float64(max(w, h))/float64(min(w, h)), 3)
	f.Longest = max(f.Longest, long)
	if f.Wide+f.Tall == 0 || long < f.Long {
		f.Long = long
	}
	if w >= h {
		f.Wide++
	} else {
		f.Tall++
	}
	return f
}

// Tiling says where the tiles of a fan stand: rows of pictures, each with a row of
// text below it, in cells from the corner of the area. It depends on nothing but
// what tile is given.
type Tiling struct {
	Columns, Rows int // of tiles
	Width, Height int // of the place for a picture
	Left, Top     int // free before the first
	Skip          int // free rows between two rows of tiles
}

// Tiles is how many there is room for.
func (t Tiling) Tiles() int { return t.Columns * t.Rows }

// At is the corner of a tile's picture; its text stands in the row after Height.
func (t Tiling) At(i int) (col, row int) {
	return t.Left + i%t.Columns*(t.Width+tileGap), t.Top + i/t.Columns*(t.Height+1+t.Skip)
}

// tile lays out n tiles, as large as all of them can be; where they would be too
// small or too many, the fewest pages of them: of about the same length if the tiles
// are much larger then, else as many on a page as there is room for.
func tile(a FanArea, n int, f Formats) Tiling {
	if a.empty() || n <= 0 {
		return Tiling{}
	}
	if f.Wide+f.Tall == 0 {
		f = Formats{Wide: 1, Long: 1.5, Longest: 1.5}
	}
	most := n
	if n > maxTiles {
		most = pageTiles
	}
	for ; most > 1; most-- {
		t, ok := tilePage(a, most, f)
		if !ok {
			continue
		}
		pages := (n + most - 1) / most
		if even, ok := tilePage(a, (n+pages-1)/pages, f); ok && even.seen(a, f) > 1.5*t.seen(a, f) {
			t = even
		}
		return t.placed(a, f, min(n, t.Tiles()))
	}
	return Tiling{Columns: 1, Rows: 1, Width: max(a.Cols-2*tileGap, 1), Height: max(a.Rows-1, 1)}.placed(a, f, 1)
}

// tilePage finds the columns in which so many tiles show most of the pictures.
func tilePage(a FanArea, n int, f Formats) (best Tiling, ok bool) {
	most := 0.0
	for columns := 1; columns <= n; columns++ {
		rows := (n + columns - 1) / columns
		if (columns-1)*rows >= n {
			continue // a column would stay empty
		}
		t := Tiling{Columns: columns, Rows: rows, Width: (a.Cols - (columns+1)*tileGap) / columns, Height: a.Rows/rows - 1}
		if t.Width < minTileCols || t.Height < minTileRows {
			continue
		}
		if seen := t.seen(a, f); seen > most*1.001 {
			best, most, ok = t, seen, true
		}
	}
	return best, ok
}

// seen is what of an average picture a tile shows, in squares of a cell's width.
func (t Tiling) seen(a FanArea, f Formats) float64 {
	w, h := float64(t.Width), float64(t.Height)*a.cellShape()
	lying := min(w, h*f.Long)
	standing := min(w, h/f.Long)
	return (float64(f.Wide)*lying*lying/f.Long + float64(f.Tall)*standing*standing*f.Long) / float64(f.Wide+f.Tall)
}

// placed makes the places no larger than their pictures, and puts them into the
// middle.
func (t Tiling) placed(a FanArea, f Formats, n int) Tiling {
	w, h := float64(t.Width), float64(t.Height)*a.cellShape()
	needW, needH := 0.0, 0.0
	if f.Wide > 0 {
		needW, needH = min(w, h*f.Longest), min(h, w/f.Long)
	}
	if f.Tall > 0 {
		needW, needH = max(needW, min(w, h/f.Long)), max(needH, min(h, w*f.Longest))
	}
	t.Width = min(t.Width, max(int(math.Ceil(needW-0.05)), min(minTileCols, t.Width)))
	t.Height = min(t.Height, max(int(math.Ceil(needH/a.cellShape()-0.05)), 1))
	t.Columns, t.Rows = min(t.Columns, n), min(t.Rows, (n+t.Columns-1)/t.Columns)
	free := a.Rows - t.Rows*(t.Height+1)
	if t.Rows > 1 {
		t.Skip = min(1, free/(t.Rows-1))
		free -= t.Skip * (t.Rows - 1)
	}
	t.Top = max(free, 0) / 2
	t.Left = (a.Cols - t.Columns*(t.Width+tileGap) + tileGap) / 2
	return t
}

// edge is the long edge of the pictures that fill the tiles, in pixels.
func (t Tiling) edge(a FanArea, f Formats) int {
	if a.empty() {
		return 0
	}
	w := float64(a.Pixels.X) * float64(t.Width) / float64(a.Cols)
	h := float64(a.Pixels.Y) * float64(t.Height) / float64(a.Rows)
	// Where pixels are not square, as those of half blocks, the longer way counts.
	lying, standing := min(w, h*f.Longest), min(h, w*f.Longest)
	edge := 0.0
	if f.Wide > 0 {
		edge = lying
	}
	if f.Tall > 0 {
		edge = max(edge, standing)
	}
	return max(1, int(math.Ceil(edge)))
}
