package cull

// Look is what the picture of a frame looks like, as far as grouping needs it now
// and recall will need it in years: it cannot be measured again once an original
// is gone. preview/pix measures it once, from the upright picture.
type Look struct {
	Method uint8 // how it was measured; 0 = nothing was

	// Parts are DCT hashes of the whole picture and of windows of it, which
	// PartOf places. A picture that was cropped, or taken anew from a hand that
	// moved, still holds some of the windows whole.
	Parts [LookParts]uint64

	// Columns and Rows are the mean luma of the picture's 32 equal columns, from
	// the left, and rows, from the top: how far the view moved between two
	// frames is how far these have to be moved to fit.
	Columns, Rows [LookBars]uint8

	// Detail is how much fine detail there is in each of 4x4 tiles, row by row,
	// on a logarithmic scale: where a focus stack is sharp.
	Detail [LookTiles]uint8

	Red, Green, Blue uint8 // mean colour, sRGB
	Grey             bool  // black-and-white: its colour says nothing
}

// The sizes of a Look.
const (
	LookParts = 17
	LookBars  = 32
	LookTiles = 16
)

// Known reports whether the picture was measured.
func (l Look) Known() bool { return l.Method != 0 }

// PartOf is where the part of an index lies: its left and upper edge and its size,
// as shares of the picture's width and height. The first is the whole picture, the
// others are 4 by 4 windows of two fifths of its width and height, half over each
// other: a crop of 60 % holds one of them whole wherever it lies, one of 80 % four.
func PartOf(part int) (x, y, size float64) {
	if part <= 0 || part >= LookParts {
		return 0, 0, 1
	}
	return 0.2 * float64((part-1)%4), 0.2 * float64((part-1)/4), 0.4
}
