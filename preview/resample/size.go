package resample

import (
	"fmt"
	"image"
	"math"
)

// Kind says what the numbers of a Size mean.
type Kind int

// The kinds of sizes.
const (
	Full     Kind = iota // every pixel there is
	LongEdge             // the longer edge has W pixels
	Fit                  // as large as goes into W by H
	Exact                // W by H
)

// Size is what a set wants of its pictures.
type Size struct {
	Kind      Kind
	W, H      int  // pixels, of the upright picture
	Crop      bool // Exact: what does not fit the shape may be cut away
	Enlarge   bool // a picture that is too small may be enlarged
	EitherWay bool // W by H or H by W, as the picture is wider or higher

	// Where the crop lies in what is too much, as seen upright: -1 is the left or the
	// top, 1 the right or the bottom.
	Across, Down float64
}

// Plan is what a Size means for one picture.
type Plan struct {
	Crop               image.Rectangle // the part that is shown, of the stored picture
	W, H               int             // the result, before it is turned upright
	UprightW, UprightH int             // and afterwards
	Smaller            bool            // the picture has too few pixels for what was wanted
}

// ShapeError says that a picture does not have the shape of an exact size, and that
// nobody said it may be cropped.
type ShapeError struct{ W, H, WantW, WantH int }

func (e *ShapeError) Error() string {
	return fmt.Sprintf("a picture of %d x %d pixels does not have the shape of %d x %d: it would have to be cropped", e.W, e.H, e.WantW, e.WantH)
}

// Plan works out what becomes of a picture that is stored with w by h pixels in
// that orientation. Edges are rounded to the nearest pixel, halves up; none is less
// than one.
func (s Size) Plan(w, h, orientation int) (Plan, error) {
	if err := checkSize(w, h); err != nil {
		return Plan{}, err
	}
	w, h = UprightSize(w, h, orientation)
	p := Plan{Crop: image.Rect(0, 0, w, h), UprightW: w, UprightH: h}
	if s.Kind != Full {
		if err := s.check(); err != nil {
			return Plan{}, err
		}
	}
	boxW, boxH := s.W, s.H
	if s.EitherWay && (w > h && boxW < boxH || w < h && boxW > boxH) {
		boxW, boxH = boxH, boxW
	}
	switch s.Kind {
	case LongEdge:
		boxW, boxH = s.W, s.W
		fallthrough
	case Fit:
		p.UprightW, p.UprightH = fit(w, h, boxW, boxH)
	case Exact:
		if s.Crop {
			p.Crop = s.crop(w, h, boxW, boxH)
		} else if !sameShape(w, h, boxW, boxH) {
			return Plan{}, &ShapeError{w, h, boxW, boxH}
		}
		p.UprightW, p.UprightH = boxW, boxH
	}
	if p.UprightW > p.Crop.Dx() || p.UprightH > p.Crop.Dy() {
		if !s.Enlarge {
			p.UprightW, p.UprightH, p.Smaller = p.Crop.Dx(), p.Crop.Dy(), true
		}
	}
	if err := checkSize(p.UprightW, p.UprightH); err != nil {
		return Plan{}, err
	}
	p.W, p.H = UprightSize(p.UprightW, p.UprightH, orientation)
	storedW, storedH := UprightSize(w, h, orientation)
	p.Crop = stored(p.Crop, storedW, storedH, orientation)
	return p, nil
}

func (s Size) check() error {
	switch s.Kind {
	case LongEdge:
		return checkSize(s.W, 1)
	case Fit, Exact:
		return checkSize(s.W, s.H)
	}
	return fmt.Errorf("%d is no kind of size", s.Kind)
}

// fit is the size of w by h in a box of which it fills one edge.
func fit(w, h, boxW, boxH int) (int, int) {
	if int64(w)*int64(boxH) >= int64(h)*int64(boxW) {
		return boxW, share(h, boxW, w)
	}
	return share(w, boxH, h), boxH
}

// share is n*of/whole, rounded, 1 at least.
func share(n, of, whole int) int {
	return max(int((2*int64(n)*int64(of)+int64(whole))/(2*int64(whole))), 1)
}

// sameShape reports whether a box is filled but for less than half of a pixel, or
// the picture by the shape of the box where that is larger.
func sameShape(w, h, boxW, boxH int) bool {
	fitW, fitH := fit(w, h, boxW, boxH)
	ownW, ownH := fit(boxW, boxH, w, h)
	return fitW == boxW && fitH == boxH || ownW == w && ownH == h && boxW >= w && boxH >= h
}

// crop is the largest part of w by h with the shape of a box.
func (s Size) crop(w, h, boxW, boxH int) image.Rectangle {
	partW, partH := fit(boxW, boxH, w, h)
	x, y := offset(w-partW, s.Across), offset(h-partH, s.Down)
	return image.Rect(x, y, x+partW, y+partH)
}

// offset is how much of slack lies before the part.
func offset(slack int, at float64) int {
	if math.IsNaN(at) {
		at = 0
	}
	return int(math.Round(float64(slack) * (min(max(at, -1), 1) + 1) / 2))
}

// Inches is a length of paper in pixels.
func Inches(length float64, ppi int) int { return int(math.Round(length * float64(ppi))) }

// Millimetres is a length of paper in pixels.
func Millimetres(length float64, ppi int) int { return int(math.Round(length * float64(ppi) / 25.4)) }
