package graph

import "garner/preview/face/internal/nn"

// The operations that are known: the schema's BuiltinOperator.
const (
	opAdd           = 0
	opConv          = 3
	opDepthwise     = 4
	opDequantize    = 6
	opMaxPool       = 17
	opMul           = 18
	opRelu          = 19
	opRelu6         = 21
	opReshape       = 22
	opResize        = 23
	opCustom        = 32
	opPad           = 34
	opStridedSlice  = 45
	opPRelu         = 54
	customMatrix    = "Landmarks2TransformMatrix"
	customSample    = "TransformTensorBilinear"
	customTransform = "TransformLandmarks"
)

// meaning returns what a call does, and which of its tensors it reads when it runs.
func (b *builder) meaning(c call) (operation, []int, error) {
	at, err := arguments(c)
	if err != nil {
		return nil, nil, err
	}
	o := c.options
	in := &b.tensors[at[0]]
	switch c.code {
	case opConv:
		op, err := b.conv(c)
		return op, at[:1], err
	case opDepthwise:
		op, err := b.depthwise(c)
		return op, at[:1], err
	case opMaxPool: // Pool2DOptions: padding, steps, window, activation
		pad, err := padding(o.u8(0))
		if err != nil {
			return nil, nil, err
		}
		act, err := fused(o.u8(5))
		return pool{[2]int{o.i32(4, 0), o.i32(3, 0)}, [2]int{o.i32(2, 0), o.i32(1, 0)}, pad, act}, at[:1], err
	case opAdd: // AddOptions: activation
		act, err := fused(o.u8(0))
		return sum{act: act}, at, err
	case opMul: // MulOptions: activation
		act, err := fused(o.u8(0))
		return product{act}, at, err
	case opRelu:
		return activation{act: nn.ReLU}, at, nil
	case opRelu6:
		return activation{act: nn.ReLU6}, at, nil
	case opPRelu:
		slope, err := b.floats(at[1], in.c)
		return activation{nn.PReLU, slope}, at[:1], err
	case opReshape: // the new shape is that of the result
		return view{&b.tensors[c.out[0]]}, at[:1], nil
	case opPad:
		op, err := b.pad(at[1], len(in.dims))
		return op, at[:1], err
	case opResize: // ResizeBilinearOptions: two that are gone, align_corners, half_pixel_centers
		size, err := b.wholes(at[1], 2)
		if err != nil {
			return nil, nil, err
		}
		return resize{size[0], size[1], o.u8(2) != 0, o.u8(3) != 0}, at[:1], nil
	case opStridedSlice:
		op, err := b.slice(c, len(in.dims))
		return op, at[:1], err
	case opCustom:
		op, err := custom(c)
		return op, at, err
	}
	return nil, nil, unsupported("operation %d", c.code)
}

// arguments checks how many inputs a call has and returns them. A reshape may have
// its shape as a second one.
func arguments(c call) ([]int, error) {
	want := map[int]int{
		opAdd: 2, opConv: 3, opDepthwise: 3, opMaxPool: 1, opMul: 2, opRelu: 1, opRelu6: 1, opReshape: len(c.in),
		opResize: 2, opPad: 2, opStridedSlice: 4, opPRelu: 2, opCustom: map[string]int{customMatrix: 1, customSample: 2, customTransform: 2}[c.custom],
	}[c.code]
	switch {
	case want == 0:
		return nil, unsupported("operation %d %q with %d inputs", c.code, c.custom, len(c.in))
	case len(c.in) != want:
		return nil, badFormat("%d inputs for operation %d %q", len(c.in), c.code, c.custom)
	}
	return c.in, nil
}

// padding is the schema's Padding.
func padding(p int) (nn.Padding, error) {
	switch p {
	case 0:
		return nn.Same, nil
	case 1:
		return nn.Valid, nil
	}
	return 0, badFormat("padding %d", p)
}

// fused is the schema's ActivationFunctionType.
func fused(a int) (nn.Act, error) {
	switch a {
	case 0:
		return nn.None, nil
	case 1:
		return nn.ReLU, nil
	case 3:
		return nn.ReLU6, nil
	}
	return 0, unsupported("activation %d", a)
}

// conv reads Conv2DOptions: padding, steps, activation, dilation; weights are in
// the order out, row, column, in.
func (b *builder) conv(c call) (operation, error) {
	o, in, w := c.options, &b.tensors[c.in[0]], &b.tensors[c.in[1]]
	if len(w.dims) != 4 || w.dims[3] != in.c {
		return nil, badFormat("weights of %v for %d channels", w.dims, in.c)
	}
	if o.i32(4, 1) != 1 || o.i32(5, 1) != 1 {
		return nil, unsupported("dilation")
	}
	s := nn.ConvSpec{In: in.c, Out: w.dims[0], KernelH: w.dims[1], KernelW: w.dims[2], StrideH: o.i32(2, 0), StrideW: o.i32(1, 0)}
	var err error
	if s.Pad, err = padding(o.u8(0)); err != nil {
		return nil, err
	}
	if s.Act, err = fused(o.u8(3)); err != nil {
		return nil, err
	}
	if s.Weights, err = b.floats(c.in[1], w.values()); err != nil {
		return nil, err
	}
	s.Bias, err = b.floats(c.in[2], s.Out)
	return conv{s}, err
}

// depthwise reads DepthwiseConv2DOptions: padding, steps, multiplier, activation,
// dilation; weights are in the order row, column, channel of the result.
func (b *builder) depthwise(c call) (operation, error) {
	o, in, w := c.options, &b.tensors[c.in[0]], &b.tensors[c.in[1]]
	if len(w.dims) != 4 || w.dims[0] != 1 || w.dims[3]%in.c != 0 {
		return nil, badFormat("weights of %v for each of %d channels", w.dims, in.c)
	}
	if o.i32(5, 1) != 1 || o.i32(6, 1) != 1 {
		return nil, unsupported("dilation")
	}
	s := nn.DepthwiseSpec{In: in.c, Multiplier: w.dims[3] / in.c, KernelH: w.dims[1], KernelW: w.dims[2], StrideH: o.i32(2, 0), StrideW: o.i32(1, 0)}
	var err error
	if s.Pad, err = padding(o.u8(0)); err != nil {
		return nil, err
	}
	if s.Act, err = fused(o.u8(4)); err != nil {
		return nil, err
	}
	if s.Weights, err = b.floats(c.in[1], w.values()); err != nil {
		return nil, err
	}
	s.Bias, err = b.floats(c.in[2], w.dims[3])
	return depthwise{s}, err
}

// pad reads the sizes of a border: two for each dimension.
func (b *builder) pad(sizes, dims int) (operation, error) {
	v, err := b.wholes(sizes, 2*dims)
	if err != nil {
		return nil, err
	}
	var p pad
	for k := range dims {
		before, after := v[2*k], v[2*k+1]
		side := k + 3 - dims // of rows, columns, channels
		switch {
		case before < 0 || after < 0 || before > maxSide || after > maxSide:
			return nil, badFormat("a border of %d and %d", before, after)
		case side < 0 && before+after != 0:
			return nil, unsupported("a border of pictures")
		case side >= 0:
			p.sizes[side] = [2]int{before, after}
		}
	}
	return p, nil
}

// slice reads the places that are taken, for each dimension.
func (b *builder) slice(c call, dims int) (operation, error) {
	for k := range 5 { // StridedSliceOptions: what of the lists is not meant
		if c.options.i32(k, 0) != 0 {
			return nil, unsupported("a slice with masks")
		}
	}
	s := slice{end: [3]int{1, 1, 1}, step: [3]int{1, 1, 1}}
	var v [3][]int
	for k := range v {
		var err error
		if v[k], err = b.wholes(c.in[1+k], dims); err != nil {
			return nil, err
		}
	}
	for k := range dims {
		side := k + 3 - dims
		if side < 0 {
			if v[0][k] != 0 || v[1][k] != 1 || v[2][k] != 1 {
				return nil, unsupported("a slice of pictures")
			}
			continue
		}
		s.begin[side], s.end[side], s.step[side] = v[0][k], v[1][k], v[2][k]
	}
	return s, nil
}
