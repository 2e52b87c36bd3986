package likeness

import (
	"fmt"
	"testing"

	"garner/preview/face/internal/nn"
	"garner/testdata/testface"
)

// tolerance is a tenth of what the other networks are allowed: these values are about 0.1.
const tolerance = testface.Tolerance / 10

// asFace is a picture of testface as the network takes it.
func asFace(values []float32) *nn.Tensor {
	t := &nn.Tensor{H: Side, W: Side, C: 3, Data: make([]float32, len(values))}
	for i, v := range values {
		t.Data[i] = float32(float64(v) * 255)
	}
	return t
}

// TestReference holds the network against what the package gave in node, as it is
// written down (goldens.mjs): all 128 values of three pictures, and for one of them
// the sums of what every block makes, which have to come in the order of the package.
func TestReference(t *testing.T) {
	n := load(t)
	for _, want := range testface.Goldens(t, "likeness") {
		face := asFace(testface.Picture(want.Picture, Side))
		got, err := n.Run(face)
		if err != nil {
			t.Fatal(err)
		}
		off := want.Outputs[0].Off(got)
		t.Logf("%s: %d values off by at most %.2g", want.Picture, len(got), off)
		if !(off <= tolerance) {
			t.Errorf("%s is off by %g", want.Picture, off)
		}
		if len(want.Layers) > 0 {
			blocks(t, n, face, want.Layers)
		}
	}
}

func blocks(t *testing.T, n *Net, face *nn.Tensor, layers []testface.Layer) {
	var x, y nn.Tensor
	next := func(what string) {
		t.Helper()
		for len(layers) > 0 {
			l := layers[0]
			layers = layers[1:]
			if len(l.Shape) == 4 && l.Shape[1] == x.H && l.Shape[2] == x.W && l.Shape[3] == x.C && l.Off(x.Data) <= tolerance {
				return
			}
		}
		t.Fatalf("%s: the package makes nothing of these sums", what)
	}
	if err := n.first.Run(&y, face); err != nil {
		t.Fatal(err)
	}
	if err := n.pool.Run(&x, &y); err != nil {
		t.Fatal(err)
	}
	next("first layers")
	for i, b := range n.blocks {
		if err := b.run(&y, &x, &n.memory); err != nil {
			t.Fatal(err)
		}
		x, y = y, x
		next(fmt.Sprint("block ", i+1))
	}
}

// TestNode holds a picture that is not written down against the package's run in node.
func TestNode(t *testing.T) {
	if testing.Short() {
		t.Skip("runs node")
	}
	values := testface.Picture("noise", Side)
	for i := range values {
		values[i] = 1 - values[i]*values[i]
	}
	got, err := load(t).Run(asFace(values))
	if err != nil {
		t.Fatal(err)
	}
	off := testface.Node(t, "likeness", nil, values, false).Outputs[0].Off(got)
	t.Logf("%d values off by at most %.2g", len(got), off)
	if !(off <= tolerance) {
		t.Errorf("off by %g", off)
	}
}
