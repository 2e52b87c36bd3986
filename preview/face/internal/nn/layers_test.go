package nn

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
)

func tensor(h, w, c int, v ...float32) *Tensor { return &Tensor{h, w, c, v} }

func same(t *testing.T, what string, err error, got, want *Tensor) {
	t.Helper()
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return
	}
	bad := got.H != want.H || got.W != want.W || got.C != want.C || len(got.Data) != len(want.Data)
	for i := 0; !bad && i < len(want.Data); i++ {
		bad = math.Abs(float64(got.Data[i]-want.Data[i])) > 1e-6
	}
	if bad {
		t.Errorf("%s: %v, want %v", what, *got, *want)
	}
}

// Sizes after tf.nn's notes on convolution: ceil(size/stride) for SAME, ceil((size
// - kernel + 1)/stride) for VALID; the padding is divided by two, more after.
func TestPaddingOut(t *testing.T) {
	for _, c := range []struct {
		pad                  Padding
		size, kernel, stride int
		out, before, after   int
	}{
		{Same, 5, 3, 1, 5, 1, 1},
		{Same, 6, 3, 2, 3, 0, 1}, // 2*2+3-6 = 1
		{Same, 5, 3, 2, 3, 1, 1}, // 2*2+3-5 = 2
		{Same, 7, 2, 1, 7, 0, 1},
		{Same, 3, 1, 2, 2, 0, 0},
		{Same, 1, 5, 1, 1, 2, 2},
		{Valid, 6, 3, 2, 2, 0, 0},
		{Valid, 7, 3, 2, 3, 0, 0},
		{Valid, 2, 3, 1, 0, 0, 0},
	} {
		out, before, after := c.pad.Out(c.size, c.kernel, c.stride)
		if out != c.out || before != c.before || after != c.after {
			t.Errorf("%+v: %d, %d, %d", c, out, before, after)
		}
	}
}

// The numbers without half pixels are those of TensorFlow Lite's own test of
// RESIZE_BILINEAR (from memory); all follow from the formulae by hand.
func TestResizeBilinear(t *testing.T) {
	var got Tensor
	in := tensor(2, 2, 1, 3, 6, 9, 12)
	same(t, "neither", ResizeBilinear(&got, in, 3, 3, false, false), &got, tensor(3, 3, 1, 3, 5, 6, 7, 9, 10, 9, 11, 12))
	same(t, "half pixels", ResizeBilinear(&got, in, 3, 3, false, true), &got, tensor(3, 3, 1, 3, 4.5, 6, 6, 7.5, 9, 9, 10.5, 12))
	same(t, "half pixels, twice", ResizeBilinear(&got, tensor(1, 2, 1, 0, 8), 1, 4, false, true), &got, tensor(1, 4, 1, 0, 2, 6, 8))
	same(t, "corners", ResizeBilinear(&got, in, 2, 4, true, false), &got, tensor(2, 4, 1, 3, 4, 5, 6, 9, 10, 11, 12))
	same(t, "corners of one", ResizeBilinear(&got, in, 1, 1, true, false), &got, tensor(1, 1, 1, 3))
	same(t, "smaller, channels", ResizeBilinear(&got, tensor(1, 4, 2, 0, 10, 1, 11, 2, 12, 3, 13), 1, 2, false, false), &got, tensor(1, 2, 2, 0, 10, 2, 12))
	if err := ResizeBilinear(&got, in, 3, 3, true, true); !errors.Is(err, ErrShape) {
		t.Errorf("both flags: %v", err)
	}
}

func TestPools(t *testing.T) {
	in := tensor(3, 3, 1, 1, 2, 3, 4, 5, 6, 7, 8, -9)
	var got Tensor
	run := func(p *Pool, err error) error {
		if err != nil {
			return err
		}
		return p.Run(&got, in)
	}
	same(t, "max, valid", run(NewMaxPool(2, 2, 1, 1, Valid, None)), &got, tensor(2, 2, 1, 5, 6, 8, 8))
	same(t, "max, same", run(NewMaxPool(2, 2, 2, 2, Same, ReLU)), &got, tensor(2, 2, 1, 5, 6, 8, 0))
	// What is outside does not count: (3+6)/2, not (3+6+0+0)/4.
	same(t, "mean, same", run(NewAvgPool(2, 2, 2, 2, Same, None)), &got, tensor(2, 2, 1, 3, 4.5, 7.5, -9))
	same(t, "mean, wide", run(NewAvgPool(1, 3, 1, 1, Same, ReLU6)), &got, tensor(3, 3, 1, 1.5, 2, 2.5, 4.5, 5, 5.5, 6, 2, 0))
	same(t, "mean of all", Mean(&got, tensor(1, 2, 2, 1, 10, 3, 20)), &got, tensor(1, 1, 2, 2, 15))
}

func TestBinary(t *testing.T) {
	a := tensor(1, 2, 3, 1, 2, 3, 4, 5, 6)
	var got Tensor
	same(t, "add", Add(&got, a, tensor(1, 2, 3, 10, 20, 30, 40, 50, 60), None), &got, tensor(1, 2, 3, 11, 22, 33, 44, 55, 66))
	same(t, "mul, columns", Mul(&got, a, tensor(1, 2, 1, 2, 3), None), &got, tensor(1, 2, 3, 2, 4, 6, 12, 15, 18))
	same(t, "mul, both spread", Mul(&got, tensor(2, 1, 1, 1, 2), tensor(1, 2, 1, 3, 4), None), &got, tensor(2, 2, 1, 3, 4, 6, 8))
	same(t, "in place", Add(a, a, tensor(1, 1, 1, 1), None), a, tensor(1, 2, 3, 2, 3, 4, 5, 6, 7))
	small := tensor(1, 1, 1, 1)
	for _, err := range []error{
		Add(small, small, a, None), Add(&got, a, tensor(1, 2, 2, 1, 2, 3, 4), None),
		Mul(&got, a, a, PReLU), Add(&got, a, &Tensor{1, 2, 3, nil}, None),
	} {
		if !errors.Is(err, ErrShape) {
			t.Errorf("error %v", err)
		}
	}
}

func TestUnary(t *testing.T) {
	in := tensor(1, 3, 2, -1, -2, 3, 4, -5, 7)
	var got Tensor
	same(t, "prelu", Activate(&got, in, PReLU, []float32{0.5, 2}), &got, tensor(1, 3, 2, -0.5, -4, 3, 4, -2.5, 7))
	same(t, "prelu of one", Activate(&got, in, PReLU, []float32{-1}), &got, tensor(1, 3, 2, 1, 2, 3, 4, 5, 7))
	same(t, "relu6", Activate(&got, in, ReLU6, nil), &got, tensor(1, 3, 2, 0, 0, 3, 4, 0, 6))
	same(t, "in place", Activate(in, in, ReLU, nil), in, tensor(1, 3, 2, 0, 0, 3, 4, 0, 7))
	if err := Activate(&got, in, PReLU, []float32{1, 2, 3}); !errors.Is(err, ErrShape) {
		t.Errorf("three slopes of two: %v", err)
	}
}

func TestLayout(t *testing.T) {
	a := tensor(2, 1, 2, 1, 2, 3, 4)
	var got Tensor
	same(t, "pad", Pad(&got, a, [3][2]int{{1, 0}, {0, 1}, {0, 1}}, -1), &got,
		tensor(3, 2, 3, -1, -1, -1, -1, -1, -1, 1, 2, -1, -1, -1, -1, 3, 4, -1, -1, -1, -1))
	same(t, "slice", Slice(&got, tensor(2, 3, 2, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12), [3]int{1, 0, 1}, [3]int{2, 3, 2}, [3]int{1, 2, 1}), &got, tensor(1, 2, 1, 8, 12))
	for _, err := range []error{
		Pad(&got, a, [3][2]int{{-1, 0}}, 0), Pad(&got, a, [3][2]int{{MaxValues, MaxValues}}, 0),
		Slice(&got, a, [3]int{0, 0, 1}, [3]int{2, 1, 1}, [3]int{1, 1, 1}),
	} {
		if !errors.Is(err, ErrShape) {
			t.Errorf("error %v", err)
		}
	}
}

// What does not fit is an error, whichever number of a file is wrong.
func TestShapes(t *testing.T) {
	good := ConvSpec{In: 2, Out: 3, KernelH: 1, KernelW: 2, StrideH: 1, StrideW: 1, Weights: make([]float32, 12), Act: PReLU, Slope: []float32{1}}
	c, err := NewConv(good)
	if err != nil {
		t.Fatal(err)
	}
	for i, change := range []func(*ConvSpec){
		func(s *ConvSpec) { s.In = 0 }, func(s *ConvSpec) { s.Out = -3 }, func(s *ConvSpec) { s.KernelW = 0 },
		func(s *ConvSpec) { s.StrideH = 0 }, func(s *ConvSpec) { s.KernelH = 1 << 30 }, func(s *ConvSpec) { s.Weights = nil },
		func(s *ConvSpec) { s.Bias = make([]float32, 2) }, func(s *ConvSpec) { s.Slope = nil }, func(s *ConvSpec) { s.Act = 9 },
		func(s *ConvSpec) { s.Pad = 2 },
	} {
		bad := good
		change(&bad)
		if _, err := NewConv(bad); !errors.Is(err, ErrShape) {
			t.Errorf("change %d: %v", i, err)
		}
	}
	var got Tensor
	for _, in := range []*Tensor{{}, {1, 1, 2, make([]float32, 2)}, {1, 2, 3, make([]float32, 6)}, {2, 2, 2, make([]float32, 6)}, {-1, -2, 2, make([]float32, 4)}} {
		if err := c.Run(&got, in); !errors.Is(err, ErrShape) {
			t.Errorf("%v: %v", fmt.Sprint(*in), err)
		}
	}
	if _, err := New(1<<13, 1<<13, 1); !errors.Is(err, ErrShape) {
		t.Errorf("large tensor: %v", err)
	}
}

// A layer keeps nothing of a run: several goroutines may use it at once.
func TestLayersAreShared(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 7))
	c, err := NewConv(ConvSpec{In: 9, Out: 17, KernelH: 3, KernelW: 3, StrideH: 1, StrideW: 1, Pad: Same, Weights: randoms(r, 9*17*9)})
	if err != nil {
		t.Fatal(err)
	}
	d, err := NewDepthwise(DepthwiseSpec{In: 17, Multiplier: 1, KernelH: 3, KernelW: 3, StrideH: 1, StrideW: 1, Pad: Same, Weights: randoms(r, 17*9)})
	if err != nil {
		t.Fatal(err)
	}
	in := randomTensor(r, 11, 13, 9)
	run := func() (*Tensor, error) {
		var mid, out Tensor
		err := errors.Join(c.Run(&mid, in), d.Run(&out, &mid))
		return &out, err
	}
	want, err := run()
	if err != nil {
		t.Fatal(err)
	}
	var group sync.WaitGroup
	for range 4 {
		group.Go(func() {
			for range 50 {
				if got, err := run(); err != nil || !slices.Equal(got.Data, want.Data) {
					t.Errorf("another result beside others, or %v", err)
					return
				}
			}
		})
	}
	group.Wait()
}
