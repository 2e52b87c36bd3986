package nn

// DepthwiseSpec describes a convolution in which each channel of the result comes
// from one channel of the input.
type DepthwiseSpec struct {
	In, Multiplier   int // channels, and results for each of them
	KernelH, KernelW int
	StrideH, StrideW int
	Pad              Padding
	Weights          []float32 // in the order row, column, channel of the result
	Bias             []float32 // one for each channel of the result, or none
	Act              Act
	Slope            []float32 // PReLU: one for each channel of the result, or one for all
}

// Depthwise is such a convolution with its activation.
type Depthwise struct {
	window
	in, mul              int
	act                  Act
	weights, bias, slope []float32
}

// NewDepthwise copies what it needs of the specification.
func NewDepthwise(s DepthwiseSpec) (*Depthwise, error) {
	d := &Depthwise{window: window{s.KernelH, s.KernelW, s.StrideH, s.StrideW, s.Pad}, in: s.In, mul: s.Multiplier, act: s.Act}
	if err := d.window.check(); err != nil {
		return nil, err
	}
	n, ok := volume(s.KernelH, s.KernelW, s.In, s.Multiplier)
	if !ok || n != len(s.Weights) {
		return nil, shapeError("%d weights for a kernel of %d x %d x %d x %d", len(s.Weights), s.KernelH, s.KernelW, s.In, s.Multiplier)
	}
	out := s.In * s.Multiplier
	var err error
	if d.bias, err = perChannel("biases", s.Bias, out, out, true); err != nil {
		return nil, err
	}
	if d.slope, err = s.Act.slopes(s.Slope, out, out); err != nil {
		return nil, err
	}
	d.weights = append([]float32(nil), s.Weights...)
	return d, nil
}

// OutShape returns the shape of the result for an input of h x w.
func (d *Depthwise) OutShape(h, w int) (oh, ow, channels int, err error) {
	oh, ow, err = d.window.out(h, w)
	return oh, ow, d.in * d.mul, err
}

// Run convolves in to dst, which must not share memory with it.
func (d *Depthwise) Run(dst, in *Tensor) error {
	if err := in.check(); err != nil {
		return err
	}
	if in.C != d.in {
		return shapeError("a depthwise convolution of %d channels, a picture of %d", d.in, in.C)
	}
	oh, ow, err := d.window.out(in.H, in.W)
	if err != nil {
		return err
	}
	if err := dst.Reset(oh, ow, d.in*d.mul); err != nil {
		return err
	}
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	src, err := d.around(in, s)
	if err != nil {
		return err
	}
	for y := range oh {
		d.rowGo(dst.Row(y), src, y*d.sh, 0)
	}
	return nil
}

// rowGo computes the channels of one row of the result from channel c on. The
// window's first row is y of src.
func (d *Depthwise) rowGo(dst []float32, src *Tensor, y, c int) {
	out := d.in * d.mul
	for x := 0; x*out < len(dst); x++ {
		sum := dst[x*out+c : (x+1)*out]
		copy(sum, d.bias[c:])
		for ky := range d.kh {
			for kx := range d.kw {
				v := src.Data[((y+ky)*src.W+x*d.sw+kx)*d.in:][:d.in]
				w := d.weights[(ky*d.kw+kx)*out+c:][:len(sum)]
				if d.mul == 1 {
					v = v[c:]
					for i := range sum {
						sum[i] += v[i] * w[i]
					}
					continue
				}
				for i := range sum {
					sum[i] += v[(c+i)/d.mul] * w[i]
				}
			}
		}
		for i, s := range sum {
			sum[i] = d.act.apply(s, d.slope[c+i])
		}
	}
}
