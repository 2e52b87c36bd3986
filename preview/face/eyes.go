package face

import (
	"context"
	"math"

	"garner/preview/jpeg"
)

// The attention mesh as MediaPipe's graphs run it (modules/face_landmark): 192
// pixels a side, channels of 0..1, the box of the detector as a square half as large
// again, turned so that the eyes stand level; points are in pixels of that square
// (face_detection_front_detection_to_roi.pbtxt, face_landmark_cpu.pbtxt).
const (
	meshSide    = 192
	meshMargin  = 1.5
	meshPoints  = 468 * 3
	eyePoints   = 71 * 2
	irisPoints  = 5 * 2
	noseBase    = 2 // of the mesh: under the nose
	outerRight  = 33
	outerLeft   = 263
	meshOutputs = 7 // mesh, lips, either eye, either iris, face flag
)

var meshInput = input{meshSide, 1.0 / 255, 0}

// Of the 71 points of an eye the first nine are the lower lid, from the outer corner
// to the inner one, and the next seven the upper lid without the corners
// (tensors_to_face_landmarks_with_attention.pbtxt, whose left eye is the person's
// right one). These are the six of the eye aspect ratio.
var sixOfEye = [6]int{0, 11, 13, 8, 5, 3}

// close is the square in which the mesh looks at a face, and whether there is one.
func (f Found) close() (move, bool) {
	eyes := f.Points[1].sub(f.Points[0])
	size := max(f.W, f.H) * meshMargin
	mid := f.middle()
	const reach = 1 << 24 // far beyond any picture
	if !(f.W > 0 && f.H > 0 && size < reach) || !mid.within(reach) || !f.Points[0].within(reach) || !f.Points[1].within(reach) {
		return move{}, false
	}
	return square(meshSide, mid, size, math.Atan2(eyes.Y, eyes.X)), true
}

// Eyes looks at one face closely. The picture may be another, larger one than that
// in which it was found, or a part of it (Found.Around): at has to be in its pixels.
// It looks twice, the second time by what it saw the first time, so that it matters
// little how well the box fits. Where the network makes no sense of it the Presence is 0.
// The errors are of ctx, of a picture or a face that is not valid, and of the network.
func (r *Reader) Eyes(ctx context.Context, m *jpeg.Image, at Found) (Eyes, error) {
	if !m.Valid() {
		return Eyes{}, errNoPicture
	}
	to, ok := at.close()
	if !ok {
		return Eyes{}, ErrNoFace
	}
	net, err := r.nets.mesh()
	if err != nil {
		return Eyes{}, err
	}
	first, next, err := r.glance(ctx, net, m, to)
	if err != nil || first.Presence < 0.5 || next == to {
		return first, err
	}
	second, _, err := r.glance(ctx, net, m, next)
	if err != nil {
		return Eyes{}, err
	}
	if second.Presence < 0.5 {
		return first, nil
	}
	for i, p := range first.Chip { // a template gains by the mean, the eyes do not
		second.Chip[i] = between(p, second.Chip[i])
	}
	return second, nil
}

// glance is one look, and the square of the next one: the same where there is none
// that is better.
func (r *Reader) glance(ctx context.Context, net network, m *jpeg.Image, to move) (Eyes, move, error) {
	if err := ctx.Err(); err != nil {
		return Eyes{}, to, err
	}
	r.taker.take(net.input(), meshInput, m, to, edge)
	out, err := net.run()
	if err != nil {
		return Eyes{}, to, err
	}
	if !meshLike(out) {
		return Eyes{}, to, errOutput
	}
	return readEyes(out, to), again(out[0], to), nil
}

// meshLike reports whether these are the seven outputs of the mesh.
func meshLike(out [][]float32) bool {
	sizes := [meshOutputs]int{meshPoints, 80 * 2, eyePoints, eyePoints, irisPoints, irisPoints, 1}
	for i, n := range sizes {
		if len(out) != len(sizes) || len(out[i]) != n {
			return false
		}
	}
	return true
}

// again is the square of a second look, from the points of the first: what they span
// with half as much round it, turned by the line through the outer corners of the eyes
// (face_landmark_landmarks_to_roi.pbtxt). Where that is far from the first it is the first.
func again(mesh []float32, to move) move {
	at := func(i int) Point { return Point{float64(mesh[i*3]), float64(mesh[i*3+1])} }
	eyes := at(outerLeft).sub(at(outerRight))
	angle := math.Atan2(eyes.Y, eyes.X)
	sin, cos := math.Sincos(angle)
	turn, back := move{A: cos, B: sin}, move{A: cos, B: -sin}
	var lo, hi Point
	for i := range len(mesh) / 3 {
		p := back.of(at(i))
		if i == 0 {
			lo, hi = p, p
		}
		lo.X, lo.Y, hi.X, hi.Y = min(lo.X, p.X), min(lo.Y, p.Y), max(hi.X, p.X), max(hi.Y, p.Y)
	}
	mid := turn.of(between(lo, hi))
	size := max(hi.X-lo.X, hi.Y-lo.Y) * meshMargin
	if !(size > meshSide/2 && size < meshSide*3/2 && mid.sub(Point{meshSide / 2, meshSide / 2}).within(meshSide/4)) {
		return to
	}
	return square(meshSide, to.of(mid), size*to.scale(), angle+math.Atan2(to.B, to.A))
}

// readEyes makes sense of what the mesh gives. The square that it saw is put onto the
// picture by to.
func readEyes(out [][]float32, to move) Eyes {
	var right, left [6]Point
	bad := false
	at := func(v []float32, i, step int) Point {
		p := Point{float64(v[i*step]), float64(v[i*step+1])}
		if !p.within(2 * meshSide) {
			bad = true
		}
		return to.of(p)
	}
	for i, k := range sixOfEye {
		right[i], left[i] = at(out[2], k, 2), at(out[3], k, 2)
	}
	e := Eyes{
		Presence: sigmoid(out[6][0]),
		Right:    opening(right),
		Left:     opening(left),
		Width:    [2]float64{right[0].distance(right[3]), left[0].distance(left[3])},
		Apart:    at(out[4], 0, 2).distance(at(out[5], 0, 2)),
		Chip:     [5]Point{right[0], right[3], left[3], left[0], at(out[0], noseBase, 3)},
	}
	line := between(left[0], left[3]).sub(between(right[0], right[3]))
	e.Roll = math.Atan2(line.Y, line.X)
	// An eye without width has no opening either, and 0 would read as closed.
	if bad || e.Width[0] <= 0 || e.Width[1] <= 0 || e.Right > mostOpen || e.Left > mostOpen {
		return Eyes{}
	}
	return e
}

// mostOpen is an opening that no eye has: three times as high as wide.
const mostOpen = 3
