package nn

// FullyConnected multiplies a list of values by a matrix.
type FullyConnected struct{ conv *Conv }

// NewFullyConnected packs a matrix of in x out weights, in the order out, in.
// Bias, activation and slope are as those of a convolution.
func NewFullyConnected(in, out int, weights, bias []float32, act Act, slope []float32) (*FullyConnected, error) {
	c, err := NewConv(ConvSpec{In: in, Out: out, KernelH: 1, KernelW: 1, StrideH: 1, StrideW: 1,
		Weights: weights, Bias: bias, Act: act, Slope: slope})
	if err != nil {
		return nil, err
	}
	return &FullyConnected{c}, nil
}

// Run takes the values of in, whatever its shape, as rows of the matrix's length:
// dst has as many columns as there are such rows, mostly one, and out channels.
func (f *FullyConnected) Run(dst, in *Tensor) error {
	if err := in.check(); err != nil {
		return err
	}
	if len(in.Data)%f.conv.in != 0 {
		return shapeError("%d values for rows of %d", len(in.Data), f.conv.in)
	}
	flat := Tensor{1, len(in.Data) / f.conv.in, f.conv.in, in.Data}
	return f.conv.Run(dst, &flat)
}
