package nn

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"
)

func TestConvAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	var fast, plain Tensor // reused, as a plan of layers does
	for i := range rounds() {
		s, in := randomConv(r)
		c, err := NewConv(s)
		if err != nil {
			t.Fatal(err)
		}
		h, w, n, err := c.OutShape(in.H, in.W)
		if err != nil {
			t.Fatal(err)
		}
		var add *Tensor
		if i%2 == 1 {
			add = randomTensor(r, h, w, 1+r.IntN(n))
			if i%4 == 1 {
				add = randomTensor(r, h, w, n)
			}
		}
		want := convReference(s, in, add)
		what := fmt.Sprintf("%d: %d x %d of %d to %d in steps of %d, %d, padding %d, activation %d, in %d x %d, added %v",
			i, s.KernelH, s.KernelW, s.In, s.Out, s.StrideH, s.StrideW, s.Pad, s.Act, in.H, in.W, add != nil)
		if add == nil {
			err = c.Run(&fast, in)
		} else {
			err = c.RunAdd(&fast, in, add)
		}
		if err != nil {
			t.Fatal(err)
		}
		near(t, what, &fast, want)
		if err := c.run(&plain, in, add, false); err != nil {
			t.Fatal(err)
		}
		near(t, "plain, "+what, &plain, want)
		if h != fast.H || w != fast.W || n != fast.C {
			t.Fatalf("OutShape %d %d %d, result %d %d %d", h, w, n, fast.H, fast.W, fast.C)
		}
	}
}

func TestDepthwiseAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 7))
	var fast, plain Tensor
	for i := range rounds() {
		s, in := randomDepthwise(r)
		d, err := NewDepthwise(s)
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(d.Run(&fast, in), d.run(&plain, in, false)); err != nil {
			t.Fatal(err)
		}
		want := depthwiseReference(s, in)
		what := fmt.Sprintf("%d: %d x %d of %d times %d in steps of %d, %d, padding %d, activation %d",
			i, s.KernelH, s.KernelW, s.In, s.Multiplier, s.StrideH, s.StrideW, s.Pad, s.Act)
		near(t, what, &fast, want)
		near(t, "plain, "+what, &plain, want)
	}
}

func TestPoolsAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 7))
	var fast, plain Tensor
	for i := range rounds() {
		w := window{1 + r.IntN(4), 1 + r.IntN(4), 1 + r.IntN(3), 1 + r.IntN(3), Padding(r.IntN(2))}
		in := randomTensor(r, w.kh+r.IntN(9), w.kw+r.IntN(9), oddChannels[r.IntN(len(oddChannels))])
		p, err := newPool(w, i%2 == 0, Act(r.IntN(3)))
		if err := errors.Join(err, p.Run(&fast, in), p.run(&plain, in, false)); err != nil {
			t.Fatal(err)
		}
		what := fmt.Sprintf("%d: %+v of %d x %d x %d", i, *p, in.H, in.W, in.C)
		want := poolReference(p, in)
		near(t, what, &fast, want)
		near(t, "plain, "+what, &plain, want)
	}
}

func TestFullyConnected(t *testing.T) {
	// Two rows of three values, by hand: 1*1+2*0+3*2+10 = 17, 1*-1+2*1+3*0-2 = -1 to 0.
	f, err := NewFullyConnected(3, 2, []float32{1, 0, 2, -1, 1, 0}, []float32{10, -2}, ReLU, nil)
	if err != nil {
		t.Fatal(err)
	}
	var got Tensor
	if err := f.Run(&got, &Tensor{3, 1, 2, []float32{1, 2, 3, 0, 4, -1}}); err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(got) != fmt.Sprint(Tensor{1, 2, 2, []float32{17, 0, 8, 2}}) {
		t.Fatalf("%v", got)
	}
}
