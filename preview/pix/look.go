package pix

import "garner/preview/jpeg"

// LookMethod is the number of the way in which Look measures. A change that gives
// other numbers for the same picture takes another one.
const LookMethod = 1

// The sizes of Looks.
const (
	LookParts = 17 // windows that are hashed, see PartOf
	LookBars  = 32
	LookTiles = 4 * 4
)

// Looks is what a picture looks like, in so few numbers that they can be kept for
// every frame for ever.
type Looks struct {
	Method uint8 // LookMethod

	Parts         [LookParts]uint64 // DCT hashes of the windows; the first is Fingerprint
	Columns, Rows [LookBars]uint8   // mean luma of equal columns, from the left, and rows, from the top
	Detail        [LookTiles]uint8  // fine detail of 4x4 tiles, row by row: see detailOf

	Red, Green, Blue uint8 // mean of the sRGB code values
	Grey             bool  // black-and-white: see neutral
}

// Look measures an upright picture in sRGB at the size of a thumbnail, to which it
// brings a larger one.
func Look(upright *jpeg.Image) (Looks, error) {
	if !upright.Valid() {
		return Looks{}, jpeg.FormatError("no picture to look at")
	}
	m := Fit(upright, ThumbEdge)
	l := Looks{Method: LookMethod, Detail: detailOf(m)}
	var s square
	p := windows{m: m}
	for i := range l.Parts {
		x, y, size := PartOf(i)
		p.fill(&s, x, y, size, size)
		l.Parts[i] = s.hash()
		if i == 0 {
			l.Columns, l.Rows = s.bars()
			l.Red, l.Green, l.Blue = meanColour(m, s.mean())
		}
	}
	l.Grey = l.Parts[0] != Flat && neutral(m)
	return l, nil
}

// PartOf is where a window lies: its left and upper edge and its size, as shares of
// the picture's width and height. The first is the whole, the others are 4 by 4
// windows of two fifths of the width and height, half over each other. Of a crop that
// holds two of them either way or more, the picture is found again; 14 windows of
// 0.7 and 0.5 found fewer.
func PartOf(part int) (x, y, size float64) {
	if part <= 0 || part >= LookParts {
		return 0, 0, 1
	}
	return 0.2 * float64((part-1)%4), 0.2 * float64((part-1)/4), 0.4
}

// mean is the mean luma of the square.
func (s *square) mean() float64 {
	sum := 0
	for _, v := range s {
		sum += int(v)
	}
	return float64(sum) / float64(len(s))
}

// bars are the mean luma of the columns and rows of a square.
func (s *square) bars() (columns, rows [LookBars]uint8) {
	const per = squareEdge / LookBars
	var across, down [LookBars]int
	for y := range squareEdge {
		for x, v := range s[y*squareEdge:][:squareEdge] {
			across[x/per] += int(v)
			down[y/per] += int(v)
		}
	}
	const n = per * squareEdge
	for i := range LookBars {
		columns[i], rows[i] = uint8((across[i]+n/2)/n), uint8((down[i]+n/2)/n)
	}
	return columns, rows
}
