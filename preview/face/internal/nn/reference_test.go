package nn

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The definitions, in float64 and without any order of memory: out(y, x, o) is the
// sum over the window of in(y*sh+ky-top, x*sw+kx-left, i) * w(o, ky, kx, i), where
// what lies outside is zero. Beside each sum stands that of its magnitudes, which
// is what rounding errors are measured by.

type value struct{ v, size float64 }

func at(t *Tensor, y, x, c int) float64 {
	if y < 0 || y >= t.H || x < 0 || x >= t.W {
		return 0
	}
	return float64(t.Data[(y*t.W+x)*t.C+c])
}

func option(v []float32, i int) float64 {
	switch len(v) {
	case 0:
		return 0
	case 1:
		return float64(v[0])
	}
	return float64(v[i])
}

func activated(a Act, v, slope float64) float64 {
	switch {
	case a == ReLU6 && v > 6:
		return 6
	case a == PReLU && v < 0:
		return slope * v
	case a != None && a != PReLU && v < 0:
		return 0
	}
	return v
}

func convReference(s ConvSpec, in, add *Tensor) [][]value {
	oh, top, _ := s.Pad.Out(in.H, s.KernelH, s.StrideH)
	ow, left, _ := s.Pad.Out(in.W, s.KernelW, s.StrideW)
	var out [][]value
	for y := range oh {
		for x := range ow {
			pixel := make([]value, s.Out)
			for o := range pixel {
				sum := value{option(s.Bias, o), math.Abs(option(s.Bias, o))}
				for ky := range s.KernelH {
					for kx := range s.KernelW {
						for i := range s.In {
							p := at(in, y*s.StrideH+ky-top, x*s.StrideW+kx-left, i) *
								float64(s.Weights[((o*s.KernelH+ky)*s.KernelW+kx)*s.In+i])
							sum.v += p
							sum.size += math.Abs(p)
						}
					}
				}
				if add != nil && o < add.C {
					sum.v += at(add, y, x, o)
					sum.size += math.Abs(at(add, y, x, o))
				}
				sum.v = activated(s.Act, sum.v, option(s.Slope, o))
				sum.size *= max(1, math.Abs(option(s.Slope, o)))
				pixel[o] = sum
			}
			out = append(out, pixel)
		}
	}
	return out
}

func depthwiseReference(s DepthwiseSpec, in *Tensor) [][]value {
	oh, top, _ := s.Pad.Out(in.H, s.KernelH, s.StrideH)
	ow, left, _ := s.Pad.Out(in.W, s.KernelW, s.StrideW)
	var out [][]value
	for y := range oh {
		for x := range ow {
			pixel := make([]value, s.In*s.Multiplier)
			for o := range pixel {
				sum := value{option(s.Bias, o), math.Abs(option(s.Bias, o))}
				for ky := range s.KernelH {
					for kx := range s.KernelW {
						p := at(in, y*s.StrideH+ky-top, x*s.StrideW+kx-left, o/s.Multiplier) *
							float64(s.Weights[(ky*s.KernelW+kx)*len(pixel)+o])
						sum.v += p
						sum.size += math.Abs(p)
					}
				}
				sum.v = activated(s.Act, sum.v, option(s.Slope, o))
				sum.size *= max(1, math.Abs(option(s.Slope, o)))
				pixel[o] = sum
			}
			out = append(out, pixel)
		}
	}
	return out
}

func poolReference(p *Pool, in *Tensor) [][]value {
	oh, top, _ := p.pad.Out(in.H, p.kh, p.sh)
	ow, left, _ := p.pad.Out(in.W, p.kw, p.sw)
	var out [][]value
	for y := range oh {
		for x := range ow {
			pixel := make([]value, in.C)
			for c := range pixel {
				sum, n, size, most := 0.0, 0.0, 0.0, math.Inf(-1)
				for ky := y*p.sh - top; ky < y*p.sh-top+p.kh; ky++ {
					for kx := x*p.sw - left; kx < x*p.sw-left+p.kw; kx++ {
						if v := at(in, ky, kx, c); ky >= 0 && ky < in.H && kx >= 0 && kx < in.W {
							sum, n, size, most = sum+v, n+1, size+math.Abs(v), max(most, v)
						}
					}
				}
				if p.mean {
					most = sum / n
				}
				pixel[c] = value{activated(p.act, most, 0), size}
			}
			out = append(out, pixel)
		}
	}
	return out
}

// near holds a result to a reference within 1e-5 of the magnitudes that were added,
// a hundred times stricter than what the package promises.
func near(t *testing.T, what string, got *Tensor, want [][]value) {
	t.Helper()
	if got.H*got.W != len(want) || got.C != len(want[0]) || len(got.Data) != got.H*got.W*got.C {
		t.Fatalf("%s: %d x %d x %d with %d values, want %d pixels of %d", what, got.H, got.W, got.C, len(got.Data), len(want), len(want[0]))
	}
	for p, pixel := range want {
		for c, w := range pixel {
			if g := float64(got.Data[p*got.C+c]); !(math.Abs(g-w.v) <= 1e-5*w.size+1e-30) {
				t.Fatalf("%s: pixel %d channel %d is %g, want %g (of %g)", what, p, c, g, w.v, w.size)
			}
		}
	}
}

func randomTensor(r *rand.Rand, h, w, c int) *Tensor {
	return &Tensor{h, w, c, randoms(r, h*w*c)}
}

func randoms(r *rand.Rand, n int) []float32 {
	v := make([]float32, n)
	for i := range v {
		v[i] = float32(r.NormFloat64())
	}
	return v
}

// oddChannels are sizes around those of vectors.
var oddChannels = []int{1, 2, 3, 5, 7, 8, 9, 15, 16, 17, 24, 31, 33}

func randomConv(r *rand.Rand) (ConvSpec, *Tensor) {
	pick := func(n int) int { return 1 + r.IntN(n) }
	s := ConvSpec{In: oddChannels[r.IntN(len(oddChannels))], Out: oddChannels[r.IntN(len(oddChannels))],
		KernelH: pick(5), KernelW: pick(5), StrideH: pick(3), StrideW: pick(3), Pad: Padding(r.IntN(2)), Act: Act(r.IntN(4))}
	s.Weights = randoms(r, s.Out*s.KernelH*s.KernelW*s.In)
	if r.IntN(4) > 0 {
		s.Bias = randoms(r, s.Out)
	}
	s.Slope = randoms(r, []int{1, s.Out}[r.IntN(2)])
	return s, randomTensor(r, s.KernelH+r.IntN(9), s.KernelW+r.IntN(9), s.In)
}

func randomDepthwise(r *rand.Rand) (DepthwiseSpec, *Tensor) {
	pick := func(n int) int { return 1 + r.IntN(n) }
	s := DepthwiseSpec{In: oddChannels[r.IntN(len(oddChannels))], Multiplier: max(1, r.IntN(6)-3),
		KernelH: pick(5), KernelW: pick(5), StrideH: pick(3), StrideW: pick(3), Pad: Padding(r.IntN(2)), Act: Act(r.IntN(4))}
	s.Weights = randoms(r, s.KernelH*s.KernelW*s.In*s.Multiplier)
	if r.IntN(4) > 0 {
		s.Bias = randoms(r, s.In*s.Multiplier)
	}
	s.Slope = randoms(r, []int{1, s.In * s.Multiplier}[r.IntN(2)])
	return s, randomTensor(r, s.KernelH+r.IntN(9), s.KernelW+r.IntN(9), s.In)
}

// rounds is how often random layers are made.
func rounds() int {
	if testing.Short() {
		return 80
	}
	return 300
}
