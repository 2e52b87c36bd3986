package pix

import (
	"cmp"
	"image"
	"slices"

	"garner/preview/jpeg"
)

// Spot is a part of a picture with what was measured there.
type Spot struct {
	image.Rectangle             // the part, in samples of the picture
	At              image.Point // the finest structure in it
	Score           float64     // how much fine structure there is, 0 to 1
}

// TileEdge is the side of the parts that Sharpest compares, in samples: large
// enough that a lone bright edge fills little of it, small enough for a face.
const TileEdge = tileCells * cellEdge

const (
	tileCells = 4
	regions   = 4 // of each of 4 by 4 regions at least one part is returned, if there is room
)

// Sharpest returns at most n parts of the luma of m with the finest structure, the
// best first. They are spread over the picture, so that a closer look at each finds
// what is in focus also where something else has more structure at this size.
//
// The score is the mean over the cells of a part: a patch of structure wins over a
// single edge, however bright that is. A straight edge, which has structure in one
// direction alone, counts half, and the dark less than the light. Towards the
// corners the score falls by a third: of equals the one nearer to the middle wins.
func Sharpest(m *jpeg.Image, n int) []Spot {
	if !m.Valid() {
		return nil
	}
	c := &measure([]*jpeg.Image{m})[0]
	var tiles []Spot
	for y := 0; y+tileCells <= c.h; y += tileCells / 2 {
		for x := 0; x+tileCells <= c.w; x += tileCells / 2 {
			s := c.spot(image.Rect(x, y, x+tileCells, y+tileCells))
			if s.Score *= central(s.At, m.Width, m.Height); s.Score > 0 {
				tiles = append(tiles, s)
			}
		}
	}
	best := func(a, b Spot) int { return cmp.Compare(b.Score, a.Score) }
	slices.SortStableFunc(tiles, best)
	var out []Spot
	var taken [regions * regions]bool
	for _, everywhere := range []bool{false, true} {
		for _, t := range tiles {
			region := t.At.Y*regions/m.Height*regions + t.At.X*regions/m.Width
			if len(out) == n || !everywhere && taken[region] || slices.ContainsFunc(out, t.overlaps) {
				continue
			}
			out, taken[region] = append(out, t), true
		}
	}
	slices.SortStableFunc(out, best)
	return out
}

// overlaps reports whether half of two parts is the same.
func (s Spot) overlaps(o Spot) bool {
	r := s.Intersect(o.Rectangle)
	return r.Dx()*r.Dy()*2 >= TileEdge*TileEdge
}

// Compare measures pictures that are parts of one, at the same scale.
func Compare(parts []*jpeg.Image) []Spot {
	out := make([]Spot, len(parts))
	for i, c := range measure(parts) {
		if c.w > 0 {
			out[i] = c.spot(image.Rect(0, 0, c.w, c.h))
		}
	}
	return out
}

// spot sums up a rectangle of cells.
func (c *cells) spot(r image.Rectangle) Spot {
	var sum, across, down, finest float64
	at := r.Min
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			e := c.at(x, y)
			sum, across, down = sum+e.score(), across+e.across, down+e.down
			if v := c.around(x, y, r); v > finest {
				at, finest = image.Pt(x, y), v
			}
		}
	}
	samples := func(p image.Point) image.Point { return p.Add(image.Pt(1, 1)).Mul(cellEdge) } // the margin
	s := Spot{Rectangle: image.Rectangle{Min: samples(r.Min), Max: samples(r.Max)}, At: samples(at).Add(image.Pt(cellEdge/2, cellEdge/2))}
	if across+down > 0 {
		s.Score = sum / float64(r.Dx()*r.Dy()) * (0.5 + min(across, down)/(across+down))
	}
	return s
}

// around is the structure of a cell and its neighbours inside r.
func (c *cells) around(x, y int, r image.Rectangle) float64 {
	sum := 0.0
	for v := max(y-1, r.Min.Y); v < min(y+2, r.Max.Y); v++ {
		for u := max(x-1, r.Min.X); u < min(x+2, r.Max.X); u++ {
			sum += c.at(u, v).score()
		}
	}
	return sum + c.at(x, y).score()
}

// central is 1 in the middle of a picture of w by h and falls to two thirds in its
// corners.
func central(p image.Point, w, h int) float64 {
	x, y := float64(2*p.X-w)/float64(w), float64(2*p.Y-h)/float64(h)
	return 1 - (x*x+y*y)/6
}
