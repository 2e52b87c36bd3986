package nn

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// Layers of the three networks, and how many multiplications they do in a
// nanosecond.
func BenchmarkConv(b *testing.B) {
	for _, l := range []struct{ side, in, out, kernel, stride int }{
		{192, 3, 32, 3, 2}, {96, 32, 8, 1, 1}, {96, 8, 32, 1, 1}, {48, 48, 12, 1, 1}, {48, 48, 48, 1, 1}, {24, 128, 64, 1, 1}, {6, 96, 384, 1, 1},
		{96, 16, 16, 1, 1}, {2, 128, 128, 1, 1},
		{150, 3, 32, 7, 2}, {35, 32, 32, 3, 1}, {17, 64, 64, 3, 1}, {8, 128, 128, 3, 1}, {4, 256, 256, 3, 1},
	} {
		for _, path := range []string{"fast", "go"} {
			b.Run(fmt.Sprintf("%d/%dto%d/%dx%d/%s", l.side, l.in, l.out, l.kernel, l.kernel, path), func(b *testing.B) {
				r := rand.New(rand.NewPCG(1, 1))
				c, err := NewConv(ConvSpec{In: l.in, Out: l.out, KernelH: l.kernel, KernelW: l.kernel, StrideH: l.stride, StrideW: l.stride,
					Pad: Same, Weights: randoms(r, l.in*l.out*l.kernel*l.kernel), Act: ReLU})
				if err != nil {
					b.Fatal(err)
				}
				in := randomTensor(r, l.side, l.side, l.in)
				var dst Tensor
				for b.Loop() {
					if err := c.run(&dst, in, nil, path == "fast"); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(len(dst.Data)*l.in*l.kernel*l.kernel)*float64(b.N)/float64(b.Elapsed().Nanoseconds()), "mul/ns")
			})
		}
	}
}

func BenchmarkDepthwise(b *testing.B) {
	for _, l := range []struct{ side, in, stride int }{{96, 32, 1}, {48, 48, 1}, {48, 12, 1}, {48, 64, 2}, {6, 384, 1}, {2, 128, 1}} {
		for _, path := range []string{"fast", "go"} {
			b.Run(fmt.Sprintf("%d/%d/%d/%s", l.side, l.in, l.stride, path), func(b *testing.B) {
				r := rand.New(rand.NewPCG(1, 1))
				d, err := NewDepthwise(DepthwiseSpec{In: l.in, Multiplier: 1, KernelH: 3, KernelW: 3, StrideH: l.stride, StrideW: l.stride,
					Pad: Same, Weights: randoms(r, l.in*9)})
				if err != nil {
					b.Fatal(err)
				}
				in := randomTensor(r, l.side, l.side, l.in)
				var dst Tensor
				for b.Loop() {
					if err := d.run(&dst, in, path == "fast"); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(len(dst.Data)*9)*float64(b.N)/float64(b.Elapsed().Nanoseconds()), "mul/ns")
			})
		}
	}
}

func BenchmarkMax(b *testing.B) {
	for _, path := range []string{"fast", "go"} {
		b.Run(path, func(b *testing.B) {
			p, err := NewMaxPool(2, 2, 2, 2, Same, None)
			in := randomTensor(rand.New(rand.NewPCG(1, 1)), 96, 96, 32)
			var dst Tensor
			for b.Loop() && err == nil {
				err = p.run(&dst, in, path == "fast")
			}
			if err != nil {
				b.Fatal(err)
			}
		})
	}
}
