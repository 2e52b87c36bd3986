package likeness

import "garner/preview/face/internal/nn"

// shape of a convolution: its kernel is square.
type shape struct {
	kernel, stride, in, out int
	pad                     nn.Padding
	act                     nn.Act
}

// conv reads a convolution, and a factor and a summand for each of its channels that
// follow it (dlib's affine layer), as one layer. What it is given is (x - mean[c]) *
// scale of the channels of x, if there is a mean: that becomes part of the weights
// too, which holds for a kernel that stays inside of the picture.
func (s store) conv(name string, sh shape, mean []float64, scale float64) (*nn.Conv, error) {
	taps := sh.kernel * sh.kernel * sh.in
	filters, err := s.take(name+"/conv/filters", sh.kernel, sh.kernel, sh.in, sh.out)
	if err != nil {
		return nil, err
	}
	var lists [3][]float32
	for i, part := range []string{"/conv/bias", "/scale/weights", "/scale/biases"} {
		if lists[i], err = s.take(name+part, sh.out); err != nil {
			return nil, err
		}
	}
	bias := make([]float32, sh.out)
	weights := make([]float32, len(filters))
	for o := range sh.out {
		factor, sum := float64(lists[1][o]), float64(lists[0][o])
		for k := range taps {
			w := float64(filters[k*sh.out+o]) * scale
			if mean != nil {
				sum -= w * mean[k%sh.in]
			}
			weights[o*taps+k] = float32(w * factor)
		}
		bias[o] = float32(sum*factor + float64(lists[2][o]))
	}
	return nn.NewConv(nn.ConvSpec{In: sh.in, Out: sh.out, KernelH: sh.kernel, KernelW: sh.kernel, StrideH: sh.stride, StrideW: sh.stride,
		Pad: sh.pad, Weights: weights, Bias: bias, Act: sh.act})
}
