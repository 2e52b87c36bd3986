package nn

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// equal holds two results to each other: 1e-3 of the largest of the first one, as
// the package promises.
func equal(t *testing.T, what string, a, b *Tensor) {
	t.Helper()
	if a.H != b.H || a.W != b.W || a.C != b.C {
		t.Fatalf("%s: %d x %d x %d and %d x %d x %d", what, a.H, a.W, a.C, b.H, b.W, b.C)
	}
	size := 0.0
	for _, v := range a.Data {
		size = max(size, math.Abs(float64(v)))
	}
	for i, v := range a.Data {
		if d := math.Abs(float64(v) - float64(b.Data[i])); !(d <= 1e-3*size) {
			t.Fatalf("%s: value %d is %g and %g", what, i, v, b.Data[i])
		}
	}
}

// FuzzEqual holds vector code to plain Go on layers of any shape and values between
// -1 and 1.
func FuzzEqual(f *testing.F) {
	for seed := range uint64(40) {
		f.Add(seed, []byte{byte(seed), 255, 0, 1, 128})
	}
	f.Fuzz(func(t *testing.T, seed uint64, values []byte) {
		r := rand.New(rand.NewPCG(seed, 7))
		fill := func(v []float32) {
			for i := range v {
				if len(values) > 1 {
					v[i] = float32(int16(binary.LittleEndian.Uint16(values))) / (1 << 15)
					values = values[2:]
				} else {
					v[i] = float32(r.IntN(1<<16))/(1<<15) - 1
				}
			}
		}
		var a, b Tensor
		run := func(fast, plain error) {
			if fast != nil || plain != nil {
				t.Fatal(fast, plain)
			}
		}
		s, in := randomConv(r)
		fill(in.Data)
		fill(s.Weights)
		c, err := NewConv(s)
		if err != nil {
			t.Fatal(err)
		}
		h, w, n, err := c.OutShape(in.H, in.W)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Weights)*h*w > 1<<17 {
			t.Skip("too much work for one of many")
		}
		add := randomTensor(r, h, w, 1+r.IntN(n))
		run(c.run(&a, in, add, true), c.run(&b, in, add, false))
		equal(t, fmt.Sprintf("%+v", *c), &a, &b)

		ds, in := randomDepthwise(r)
		fill(in.Data)
		fill(ds.Weights)
		d, err := NewDepthwise(ds)
		if err != nil {
			t.Fatal(err)
		}
		run(d.run(&a, in, true), d.run(&b, in, false))
		equal(t, fmt.Sprintf("%+v", *d), &a, &b)

		p, err := newPool(d.window, false, None)
		if err != nil {
			t.Fatal(err)
		}
		run(p.run(&a, in, true), p.run(&b, in, false))
		equal(t, fmt.Sprintf("%+v", *p), &a, &b)
	})
}

// Vector code and plain Go agree on a chain of layers of the sizes that are run,
// one of 2304 weights a value among them.
func TestPathsAgree(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 7))
	for _, s := range []struct{ side, in, out, kernel, stride int }{
		{96, 3, 32, 3, 2}, {75, 3, 32, 7, 2}, {48, 48, 12, 1, 1}, {24, 12, 48, 1, 1}, {12, 36, 144, 1, 1}, {4, 256, 256, 3, 1}, {2, 128, 32, 1, 1}, {3, 32, 142, 3, 3},
	} {
		c, err := NewConv(ConvSpec{In: s.in, Out: s.out, KernelH: s.kernel, KernelW: s.kernel, StrideH: s.stride, StrideW: s.stride, Pad: Same,
			Weights: randoms(r, s.in*s.out*s.kernel*s.kernel), Bias: randoms(r, s.out), Act: PReLU, Slope: randoms(r, s.out)})
		if err != nil {
			t.Fatal(err)
		}
		var a, b Tensor
		in := randomTensor(r, s.side, s.side, s.in)
		if err := c.run(&a, in, nil, true); err != nil {
			t.Fatal(err)
		}
		if err := c.run(&b, in, nil, false); err != nil {
			t.Fatal(err)
		}
		equal(t, fmt.Sprint(s), &a, &b)
	}
}
