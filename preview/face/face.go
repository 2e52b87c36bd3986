package face

import (
	"image"
	"math"
)

// Found is a face that was found. Points are the right eye, left eye, tip of the
// nose, mouth, right ear and left ear as the person has them. The box and the points
// of a face that the picture cuts off reach beyond it.
type Found struct {
	X, Y, W, H float64 // the box, in pixels of the picture that was searched
	Score      float64 // 0..1
	Points     [6]Point
}

// In returns the same face in the pixels of another rendition: one that is scale times
// as large, or the part of it that begins at from.
func (f Found) In(scale float64, from image.Point) Found {
	x, y := float64(from.X), float64(from.Y)
	f.X, f.Y, f.W, f.H = f.X*scale-x, f.Y*scale-y, f.W*scale, f.H*scale
	for i, p := range f.Points {
		f.Points[i] = Point{p.X*scale - x, p.Y*scale - y}
	}
	return f
}

// secondLook is how much larger, in nearly all cases, the square is that holds both
// looks of Eyes.
const secondLook = 1.25

// Around is the part of a w by h picture that Eyes and Template look at. Where
// pixels are dear it is all that has to be decoded; it is empty for a face that is
// not in the picture.
func (f Found) Around(w, h int) image.Rectangle {
	to, ok := f.close()
	if !ok {
		return image.Rectangle{}
	}
	if f.X >= float64(w) || f.Y >= float64(h) || f.X+f.W <= 0 || f.Y+f.H <= 0 || w <= 0 || h <= 0 {
		return image.Rectangle{}
	}
	to = square(meshSide, f.middle(), max(f.W, f.H)*meshMargin*secondLook, math.Atan2(to.B, to.A))
	return covers(to, meshSide, image.Rect(0, 0, w, h))
}

// Eyes is what the mesh says of a face.
type Eyes struct {
	Presence    float64    // how sure it is of a face, 0..1; 0 = there is nothing else either
	Right, Left float64    // lid opening by eye width (EAR), of the person's right and left eye
	Width       [2]float64 // width of the right and left eye in pixels of the picture given
	Apart       float64    // distance of the pupils in those pixels
	Roll        float64    // of the line through the eyes, radians clockwise
	Chip        [5]Point   // corners of the right eye (outer, inner) and of the left one (inner, outer), and base of the nose, for a template
}

// Unlikely reports whether nothing but a weak score speaks for a face: the mesh sees
// none. In profile it sees none either, so that the score has to be weak too.
func (f Found) Unlikely(e Eyes) bool { return f.Score < likely && e.Presence < 0.5 }
