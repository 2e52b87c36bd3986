package face

import (
	"context"
	"errors"

	"garner/preview/jpeg"
)

// Point is a place in a picture, in its pixels from the upper left corner.
type Point struct{ X, Y float64 }

// Found is a face that was found. Points are the right eye, left eye, tip of the
// nose, mouth, right ear and left ear as the person has them.
type Found struct {
	X, Y, W, H float64 // the box, in pixels of the picture that was searched
	Score      float64 // 0..1
	Points     [6]Point
}

// Eyes is what the mesh says of a face.
type Eyes struct {
	Presence    float64    // how sure it is of a face, 0..1
	Right, Left float64    // lid opening by eye width (EAR), of the person's right and left eye
	Width       [2]float64 // width of the right and left eye in pixels of the picture given
	Apart       float64    // distance of the pupils in those pixels
	Roll        float64    // of the line through the eyes, radians clockwise
	Chip        [5]Point   // corners of the eyes (outer, inner, inner, outer) and base of the nose, for a template
}

// Template describes a face: two of one person lie near each other (Euclidean
// distance). It is biometric data.
type Template [128]float32

var errNotBuilt = errors.New("the networks are not built in")

// Reader runs the networks. It holds some 30 MB and is for one goroutine.
type Reader struct{}

// New returns a Reader; the networks are unpacked when they are first needed.
func New() *Reader { return &Reader{} }

// Find returns the faces of an upright picture in sRGB, the largest first.
func (r *Reader) Find(ctx context.Context, m *jpeg.Image) ([]Found, error) {
	return nil, errNotBuilt
}

// Eyes looks at one face closely. The picture may be another, larger one than that
// in which it was found, or a part of it: at has to be in its pixels.
func (r *Reader) Eyes(ctx context.Context, m *jpeg.Image, at Found) (Eyes, error) {
	return Eyes{}, errNotBuilt
}

// Template describes one face; e comes from Eyes with the same picture.
func (r *Reader) Template(ctx context.Context, m *jpeg.Image, e Eyes) (Template, error) {
	return Template{}, errNotBuilt
}
