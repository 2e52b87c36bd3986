package face

import (
	"context"
	"math"

	"garner/preview/jpeg"
)

// Template describes a face: two of one person lie near each other (Distance). It
// is biometric data.
type Template [128]float32

// Distance is the Euclidean distance of two templates, which this network was trained
// to have below 0.6 for one person and above for two.
func (t Template) Distance(u Template) float64 {
	sum := 0.0
	for i, v := range t {
		d := float64(v) - float64(u[i])
		sum += d * d
	}
	return math.Sqrt(sum)
}

// The chip that the network was trained on: 150 pixels a side with a quarter of the
// face's size round it.
const (
	chipSide    = 150
	chipPadding = 0.25
)

var chipInput = input{chipSide, 1, 0}

// chipPoints are where the corners of the eyes and the base of the nose lie in a face,
// from dlib's get_face_chip_details (image_transforms/interpolation.h, Boost licence),
// in the order of Eyes.Chip.
var chipPoints = [5]Point{
	{0.1205750620789, 0.2137274526848},
	{0.3340850613712, 0.2290642403242},
	{0.6460604764104, 0.2289674387677},
	{0.8595674595992, 0.2134981538014},
	{0.4901123135679, 0.6277975316475},
}

// chip is the square that puts the five points as near to their places as can be.
func (e Eyes) chip() (move, bool) {
	const reach = 1 << 24
	var from [5]Point
	for i, p := range chipPoints {
		from[i] = Point{
			(p.X + chipPadding) / (1 + 2*chipPadding) * chipSide,
			(p.Y + chipPadding) / (1 + 2*chipPadding) * chipSide,
		}
		if !e.Chip[i].within(reach) {
			return move{}, false
		}
	}
	return fit(from[:], e.Chip[:])
}

// Template describes one face; e comes from Eyes with the same picture. The errors are
// as those of Eyes.
func (r *Reader) Template(ctx context.Context, m *jpeg.Image, e Eyes) (Template, error) {
	if !m.Valid() {
		return Template{}, errNoPicture
	}
	to, ok := e.chip()
	if !ok {
		return Template{}, ErrNoFace
	}
	net, err := r.nets.likeness()
	if err != nil {
		return Template{}, err
	}
	if err := ctx.Err(); err != nil {
		return Template{}, err
	}
	r.taker.take(net.input(), chipInput, m, to, black)
	out, err := net.run()
	if err != nil {
		return Template{}, err
	}
	t := Template{}
	if len(out) != 1 || len(out[0]) != len(t) {
		return Template{}, errOutput
	}
	copy(t[:], out[0])
	for _, v := range t {
		if !(math.Abs(float64(v)) < 1e3) {
			return Template{}, errOutput
		}
	}
	return t, nil
}
