package graph

import (
	"math"

	"garner/preview/face/internal/nn"
)

// The three operations that the mesh of a face has of its own, in their second
// version: points say where an eye or the lips are, as a transformation; that part
// of a tensor is sampled; points found in it are put back. MediaPipe defines them
// (mediapipe/util/tflite/operations).

// custom reads the options of one of them.
func custom(c call) (operation, error) {
	if c.version != 2 {
		return nil, unsupported("version %d of %s", c.version, c.custom)
	}
	if c.custom == customTransform {
		return moved{}, nil // has no options
	}
	o, err := flexible(c.raw)
	if err != nil {
		return nil, err
	}
	var h, w int
	for name, to := range map[string]*int{"output_height": &h, "output_width": &w} {
		if *to, err = o[name].whole(); err != nil {
			return nil, err
		}
		if *to < 1 || *to > maxSide {
			return nil, badFormat("a part of %d pixels", *to)
		}
	}
	if c.custom == customSample {
		return sample{h, w}, nil
	}
	m := toMatrix{h: h, w: w}
	for name, to := range map[string]*int{"left_rotation_idx": &m.left, "right_rotation_idx": &m.right} {
		if *to, err = o[name].whole(); err != nil {
			return nil, err
		}
	}
	for name, to := range map[string]*float64{"target_rotation_radians": &m.level, "scale_x": &m.scaleX, "scale_y": &m.scaleY} {
		if *to, err = o[name].real(); err != nil {
			return nil, err
		}
	}
	m.subset, err = o["subset_idxs"].wholes()
	return m, err
}

// toMatrix makes of points (x, y and one more number each) the 4x4 matrix, row by
// row, that leads from pixels of a part of h x w to where they lie among the points.
// The part is upright when the line from one point to another has an angle; it holds
// the points of a subset, scaled about their middle.
type toMatrix struct {
	h, w           int
	left, right    int
	level          float64 // the angle
	scaleX, scaleY float64
	subset         []int
}

func (o toMatrix) shape(in []*tensor) (h, w, c int, err error) {
	if len(o.subset) == 0 || in[0].h != 1 || in[0].c != 3 {
		return 0, 0, 0, badFormat("a part by %d points of %v", len(o.subset), in[0].dims)
	}
	for _, i := range append(o.subset, o.left, o.right) {
		if i >= in[0].w {
			return 0, 0, 0, badFormat("point %d of %d", i, in[0].w)
		}
	}
	return 1, 4, 4, nil
}

func (o toMatrix) work() int { return 4 * len(o.subset) }

func (o toMatrix) layer() (layer, error) {
	return func(dst *nn.Tensor, in []*nn.Tensor) error {
		o.run(dst.Data, in[0].Data)
		return nil
	}, nil
}

func (o toMatrix) run(dst, points []float32) {
	point := func(i int) (x, y float64) { return float64(points[3*i]), float64(points[3*i+1]) }
	lx, ly := point(o.left)
	rx, ry := point(o.right)
	// The part is turned by this against the points.
	sin, cos := math.Sincos(o.level - math.Atan2(ry-ly, rx-lx))
	x0, y0 := math.Inf(1), math.Inf(1)
	x1, y1 := math.Inf(-1), math.Inf(-1)
	for _, i := range o.subset {
		x, y := point(i)
		x, y = cos*x-sin*y, sin*x+cos*y
		x0, x1 = min(x0, x), max(x1, x)
		y0, y1 = min(y0, y), max(y1, y)
	}
	mx, my := (x0+x1)/2, (y0+y1)/2
	mx, my = cos*mx+sin*my, -sin*mx+cos*my // turned back
	sx, sy := o.scaleX*(x1-x0)/float64(o.w), o.scaleY*(y1-y0)/float64(o.h)
	// Middle of the part to 0, scaled, turned back, to its place.
	hx, hy := -float64(o.w)/2*sx, -float64(o.h)/2*sy
	clear(dst)
	dst[0], dst[1], dst[3] = float32(cos*sx), float32(sin*sy), float32(mx+cos*hx+sin*hy)
	dst[4], dst[5], dst[7] = float32(-sin*sx), float32(cos*sy), float32(my-sin*hx+cos*hy)
	dst[10], dst[15] = 1, 1
}

// sample takes a part of h x w pixels out of a tensor, where a matrix says. Its
// coordinates have the middles of pixels at halves; what has no pixels around it is
// zero.
type sample struct{ h, w int }

func (o sample) shape(in []*tensor) (h, w, c int, err error) {
	if err := isMatrix(in[1]); err != nil {
		return 0, 0, 0, err
	}
	return o.h, o.w, in[0].c, nil
}

func (sample) work() int { return 8 }

func (o sample) layer() (layer, error) {
	return func(dst *nn.Tensor, in []*nn.Tensor) error {
		m := in[1].Data
		for y := range o.h {
			for x := range o.w {
				u, v := float64(x)+0.5, float64(y)+0.5
				pixel(dst.Data[(y*o.w+x)*dst.C:][:dst.C], in[0],
					float64(m[0])*u+float64(m[1])*v+float64(m[3])-0.5,
					float64(m[4])*u+float64(m[5])*v+float64(m[7])-0.5)
			}
		}
		return nil
	}, nil
}

// pixel writes the channels of t at a place between pixels.
func pixel(dst []float32, t *nn.Tensor, x, y float64) {
	// Written so that what is not a number is outside.
	if !(x >= 0 && x <= float64(t.W-1) && y >= 0 && y <= float64(t.H-1)) {
		clear(dst)
		return
	}
	x0, y0 := int(x), int(y)
	x1, y1 := min(x0+1, t.W-1), min(y0+1, t.H-1) // at the border its weight is 0
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	a, b := t.Data[(y0*t.W+x0)*t.C:][:len(dst)], t.Data[(y0*t.W+x1)*t.C:][:len(dst)]
	c, d := t.Data[(y1*t.W+x0)*t.C:][:len(dst)], t.Data[(y1*t.W+x1)*t.C:][:len(dst)]
	wa, wb, wc, wd := (1-fx)*(1-fy), fx*(1-fy), (1-fx)*fy, fx*fy
	for i := range dst {
		dst[i] = a[i]*wa + b[i]*wb + c[i]*wc + d[i]*wd
	}
}

// moved applies a matrix to points of two numbers, or of three, of which the last
// stays.
type moved struct{}

func (moved) shape(in []*tensor) (h, w, c int, err error) {
	if in[0].h != 1 || in[0].c != 2 && in[0].c != 3 {
		return 0, 0, 0, badFormat("points of %v", in[0].dims)
	}
	return in[0].h, in[0].w, in[0].c, isMatrix(in[1])
}

func (moved) work() int { return 4 }

func (moved) layer() (layer, error) {
	return func(dst *nn.Tensor, in []*nn.Tensor) error {
		p, m := in[0].Data, in[1].Data
		copy(dst.Data, p)
		for i := 0; i < len(p); i += dst.C {
			dst.Data[i] = m[0]*p[i] + m[1]*p[i+1] + m[3]
			dst.Data[i+1] = m[4]*p[i] + m[5]*p[i+1] + m[7]
		}
		return nil
	}, nil
}

func isMatrix(t *tensor) error {
	if t.h != 1 || t.w != 4 || t.c != 4 {
		return badFormat("a matrix of %v", t.dims)
	}
	return nil
}
