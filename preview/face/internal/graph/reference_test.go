package graph

import (
	"testing"

	"garner/preview/face/internal/nn"
	"garner/testdata/testface"
)

// asPicture is a picture of testface as both networks take it.
func asPicture(values []float32) *nn.Tensor {
	return &nn.Tensor{H: 192, W: 192, C: 3, Data: values}
}

// TestReference holds both networks against what MediaPipe's own wasm gave, as it is
// written down: the results, and the sums of every layer of the network as the file
// has it, by the names in the file.
func TestReference(t *testing.T) {
	for _, n := range networks {
		fused, err := Load(unpacked(t, n.file))
		if err != nil {
			t.Fatal(err)
		}
		plain, err := load(unpacked(t, n.file), false)
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range testface.Goldens(t, n.name) {
			in := asPicture(testface.Picture(want.Picture, 192))
			compare(t, n.name+" of "+want.Picture, fused, in, want)
			if len(want.Layers) > 0 {
				layers(t, n.name, plain, in, want.Layers)
			}
		}
	}
}

// TestNode holds all values of the results against node, for pictures that are not
// written down too.
func TestNode(t *testing.T) {
	if testing.Short() {
		t.Skip("runs node")
	}
	for _, n := range networks {
		b := unpacked(t, n.file)
		g, err := Load(b)
		if err != nil {
			t.Fatal(err)
		}
		in := noise(192, 192, 3)
		compare(t, n.name+" in node", g, in, testface.Node(t, n.name, b, in.Data, false))
	}
}

func compare(t *testing.T, what string, g *Graph, in *nn.Tensor, want testface.Reference) {
	t.Helper()
	got, err := g.Run(in)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(want.Outputs) {
		t.Fatalf("%s: %d results, not %d", what, len(got), len(want.Outputs))
	}
	for i, w := range want.Outputs {
		off := w.Off(got[i].Data)
		t.Logf("%s: %s: %d of %d values off by at most %.2g", what, w.Name, len(w.Values), w.Count, off)
		if g.Outputs()[i] != w.Name || !(off <= testface.Tolerance) {
			t.Errorf("%s: %s (here %s) is off by %g", what, w.Name, g.Outputs()[i], off)
		}
	}
}

func layers(t *testing.T, what string, g *Graph, in *nn.Tensor, want []testface.Layer) {
	t.Helper()
	byName := map[string]testface.Layer{}
	for _, l := range want {
		byName[l.Name] = l
	}
	seen, worst := 0, 0.0
	g.Trace(func(name string, x *nn.Tensor) {
		l, ok := byName[name]
		if !ok {
			t.Errorf("%s: nothing is known of %q", what, name)
			return
		}
		off := l.Off(x.Data)
		seen, worst = seen+1, max(worst, off)
		if !(off <= testface.Tolerance/10) {
			t.Errorf("%s: the sums of %q %v are off by %g", what, name, l.Shape, off)
		}
	})
	defer g.Trace(nil)
	if _, err := g.Run(in); err != nil {
		t.Fatal(err)
	}
	t.Logf("%s: sums of %d layers of %d, off by at most %.2g for a value", what, seen, len(want), worst)
	if seen != len(want) {
		t.Errorf("%s: %d layers were held against %d", what, seen, len(want))
	}
}
