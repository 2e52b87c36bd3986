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
	return d.run(dst, in, true)
}

// run uses vector code where there is any and fast says so.
func (d *Depthwise) run(dst, in *Tensor, fast bool) error {
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
	d.window.run(dst, in, s, func(j *placesJob, skipRows, skipCols int) {
		j.weights = d.weights[(skipRows*d.kw+skipCols)*dst.C:]
		j.weightStep = d.kw * dst.C
		j.bias, j.slope, j.act = d.bias, d.slope, d.act
		if !fast || !fastDepthwise(j) {
			depthwiseGo(j)
		}
	})
	return nil
}

// depthwiseGo is the work in plain Go.
func depthwiseGo(j *placesJob) {
	mul := j.out / j.in
	for p := range j.n {
		sum := j.dst[p*j.out:][:j.out]
		copy(sum, j.bias)
		for y := range j.rows {
			if mul == 1 && j.cols == 3 {
				depthwise3(sum, j.src[p*j.advance+y*j.rowStep:], j.weights[y*j.weightStep:])
				continue
			}
			for x := range j.cols {
				v := j.src[p*j.advance+y*j.rowStep+x*j.in:][:j.in]
				w := j.weights[y*j.weightStep+x*j.out:][:j.out]
				if mul == 1 {
					for i, s := range v {
						sum[i] += s * w[i]
					}
					continue
				}
				for i, s := range w {
					sum[i] += v[i/mul] * s
				}
			}
		}
		for i, s := range sum {
			sum[i] = j.act.apply(s, j.slope[i])
		}
	}
}

// depthwise3 adds a row of three places, so that each sum is loaded and stored once.
func depthwise3(sum, v, w []float32) {
	n := len(sum)
	v0, v1, v2 := v[:n], v[n:2*n], v[2*n:3*n]
	w0, w1, w2 := w[:n], w[n:2*n], w[2*n:3*n]
	for i, s := range sum {
		sum[i] = s + v0[i]*w0[i] + v1[i]*w1[i] + v2[i]*w2[i]
	}
}
