package graph

import "garner/preview/face/internal/nn"

// maxWindow bounds the sides and the steps of a window.
const maxWindow = 64

// windows returns how many places a window (rows, columns, and the steps of both)
// has in a tensor.
func windows(size [4]int, pad nn.Padding, t *tensor) (h, w int, err error) {
	for _, s := range size {
		if s < 1 || s > maxWindow {
			return 0, 0, unsupported("a window of %d x %d in steps of %d, %d", size[0], size[1], size[2], size[3])
		}
	}
	h, _, _ = pad.Out(t.h, size[0], size[2])
	w, _, _ = pad.Out(t.w, size[1], size[3])
	return h, w, nil
}

// conv is a convolution; with a second input, that is added before the activation.
// It may have fewer channels: those that are missing are zero.
type conv struct{ nn.ConvSpec }

func (o conv) shape(in []*tensor) (h, w, c int, err error) {
	h, w, err = windows([4]int{o.KernelH, o.KernelW, o.StrideH, o.StrideW}, o.Pad, in[0])
	return h, w, o.Out, err
}

func (o conv) work() int { return o.KernelH * o.KernelW * o.In }

func (o conv) layer() (layer, error) {
	c, err := nn.NewConv(o.ConvSpec)
	if err != nil {
		return nil, err
	}
	return func(dst *nn.Tensor, in []*nn.Tensor) error {
		if len(in) == 2 {
			return c.RunAdd(dst, in[0], in[1])
		}
		return c.Run(dst, in[0])
	}, nil
}

// depthwise is a convolution channel by channel.
type depthwise struct{ nn.DepthwiseSpec }

func (o depthwise) shape(in []*tensor) (h, w, c int, err error) {
	h, w, err = windows([4]int{o.KernelH, o.KernelW, o.StrideH, o.StrideW}, o.Pad, in[0])
	return h, w, o.In * o.Multiplier, err
}

func (o depthwise) work() int { return o.KernelH * o.KernelW }

func (o depthwise) layer() (layer, error) {
	d, err := nn.NewDepthwise(o.DepthwiseSpec)
	if err != nil {
		return nil, err
	}
	return func(dst *nn.Tensor, in []*nn.Tensor) error { return d.Run(dst, in[0]) }, nil
}

// pool takes the largest value of each window.
type pool struct {
	window, step [2]int
	pad          nn.Padding
	act          nn.Act
}

func (o pool) shape(in []*tensor) (h, w, c int, err error) {
	h, w, err = windows([4]int{o.window[0], o.window[1], o.step[0], o.step[1]}, o.pad, in[0])
	return h, w, in[0].c, err
}

func (o pool) work() int { return o.window[0] * o.window[1] }

func (o pool) layer() (layer, error) {
	p, err := nn.NewMaxPool(o.window[0], o.window[1], o.step[0], o.step[1], o.pad, o.act)
	if err != nil {
		return nil, err
	}
	return func(dst *nn.Tensor, in []*nn.Tensor) error { return p.Run(dst, in[0]) }, nil
}

// spread is the shape of two tensors of which one may be repeated along a side.
func spread(in []*tensor) (h, w, c int, err error) {
	a, b := in[0], in[1]
	for _, s := range [][2]int{{a.h, b.h}, {a.w, b.w}, {a.c, b.c}} {
		if s[0] != s[1] && s[0] != 1 && s[1] != 1 {
			return 0, 0, 0, badFormat("%v with %v", a.dims, b.dims)
		}
	}
	return max(a.h, b.h), max(a.w, b.w), max(a.c, b.c), nil
}

// sum adds two tensors.
type sum struct {
	act   nn.Act
	slope []float32
}

func (sum) shape(in []*tensor) (h, w, c int, err error) { return spread(in) }
func (sum) work() int                                   { return 1 }

func (o sum) layer() (layer, error) {
	if o.act != nn.PReLU {
		return func(dst *nn.Tensor, in []*nn.Tensor) error { return nn.Add(dst, in[0], in[1], o.act) }, nil
	}
	return func(dst *nn.Tensor, in []*nn.Tensor) error {
		if err := nn.Add(dst, in[0], in[1], nn.None); err != nil {
			return err
		}
		return nn.Activate(dst, dst, o.act, o.slope)
	}, nil
}

// product multiplies two tensors value by value.
type product struct{ act nn.Act }

func (product) shape(in []*tensor) (h, w, c int, err error) { return spread(in) }
func (product) work() int                                   { return 1 }

func (o product) layer() (layer, error) {
	return func(dst *nn.Tensor, in []*nn.Tensor) error { return nn.Mul(dst, in[0], in[1], o.act) }, nil
}

// activation is one by itself.
type activation struct {
	act   nn.Act
	slope []float32
}

func (activation) shape(in []*tensor) (h, w, c int, err error) { return in[0].h, in[0].w, in[0].c, nil }
func (activation) work() int                                   { return 1 }

func (o activation) layer() (layer, error) {
	return func(dst *nn.Tensor, in []*nn.Tensor) error { return nn.Activate(dst, in[0], o.act, o.slope) }, nil
}

// view gives the same values another shape.
type view struct{ as *tensor }

func (o view) shape(in []*tensor) (h, w, c int, err error) {
	if in[0].values() != o.as.values() {
		return 0, 0, 0, badFormat("%v as %v", in[0].dims, o.as.dims)
	}
	return o.as.h, o.as.w, o.as.c, nil
}
func (view) work() int { return 1 }

// layer copies; mostly it is not needed, since the values lie where they were.
func (o view) layer() (layer, error) {
	return func(dst *nn.Tensor, in []*nn.Tensor) error {
		copy(dst.Data, in[0].Data)
		return nil
	}, nil
}

// pad sets zeros around.
type pad struct{ sizes [3][2]int } // before and after rows, columns, channels

func (o pad) shape(in []*tensor) (h, w, c int, err error) {
	s := o.sizes
	return in[0].h + s[0][0] + s[0][1], in[0].w + s[1][0] + s[1][1], in[0].c + s[2][0] + s[2][1], nil
}
func (pad) work() int { return 1 }

// channels reports whether only channels come after those that are there.
func (o pad) channels() bool {
	return o.sizes == [3][2]int{2: {0, o.sizes[2][1]}}
}

func (o pad) layer() (layer, error) {
	return func(dst *nn.Tensor, in []*nn.Tensor) error { return nn.Pad(dst, in[0], o.sizes, 0) }, nil
}

// resize scales a picture.
type resize struct {
	h, w               int
	alignCorners, half bool
}

func (o resize) shape(in []*tensor) (h, w, c int, err error) {
	if o.h < 1 || o.w < 1 || o.alignCorners && o.half {
		return 0, 0, 0, badFormat("scaling to %d x %d", o.h, o.w)
	}
	return o.h, o.w, in[0].c, nil
}
func (resize) work() int { return 4 }

func (o resize) layer() (layer, error) {
	return func(dst *nn.Tensor, in []*nn.Tensor) error {
		return nn.ResizeBilinear(dst, in[0], o.h, o.w, o.alignCorners, o.half)
	}, nil
}

// slice takes places of rows, columns and channels.
type slice struct{ begin, end, step [3]int }

func (o slice) shape(in []*tensor) (h, w, c int, err error) {
	var n [3]int
	for k, size := range []int{in[0].h, in[0].w, in[0].c} {
		if o.begin[k] < 0 || o.end[k] > size || o.begin[k] >= o.end[k] || o.step[k] < 1 {
			return 0, 0, 0, unsupported("a slice from %d to %d of %d in steps of %d", o.begin[k], o.end[k], size, o.step[k])
		}
		n[k] = (o.end[k]-o.begin[k]-1)/o.step[k] + 1
	}
	return n[0], n[1], n[2], nil
}
func (slice) work() int { return 1 }

func (o slice) layer() (layer, error) {
	return func(dst *nn.Tensor, in []*nn.Tensor) error { return nn.Slice(dst, in[0], o.begin, o.end, o.step) }, nil
}
