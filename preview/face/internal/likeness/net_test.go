package likeness

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"garner/preview/face/internal/nn"
	"garner/preview/face/models"
)

func load(t testing.TB) *Net {
	manifest, err := models.LikenessManifest()
	if err != nil {
		t.Fatal(err)
	}
	weights, err := models.Likeness()
	if err != nil {
		t.Fatal(err)
	}
	n, err := Load(manifest, weights)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// noise is a face of nothing: a linear congruential generator's values, 0 to 255.
func noise() *nn.Tensor {
	t := &nn.Tensor{H: Side, W: Side, C: 3, Data: make([]float32, Side*Side*3)}
	s := uint32(1)
	for i := range t.Data {
		s = s*1664525 + 1013904223
		t.Data[i] = float32(float64(s>>8) / (1 << 24) * 255)
	}
	return t
}

// The network gives what the package's own run gives, layer by layer.
func TestAgainstPackage(t *testing.T) {
	n := load(t)
	golden, err := os.ReadFile("testdata/noise.txt")
	if err != nil {
		t.Fatal(err)
	}
	var x, y nn.Tensor
	if err := errors.Join(n.first.Run(&y, noise()), n.pool.Run(&x, &y)); err != nil {
		t.Fatal(err)
	}
	layer := 0
	for line := range strings.Lines(string(golden)) {
		f := strings.Fields(line)
		var want []float64
		for _, s := range f[1:] {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil && f[0] != "#" {
				t.Fatal(err)
			}
			want = append(want, v)
		}
		switch f[0] {
		case "layer":
			if layer > 0 {
				if err := n.blocks[layer-1].run(&y, &x, &n.memory); err != nil {
					t.Fatal(err)
				}
				x, y = y, x
			}
			layer++
			sum := 0.0
			for _, v := range x.Data {
				sum += float64(v)
			}
			got := []float64{float64(x.H), float64(x.W), float64(x.C), sum, float64(x.Data[0])}
			near(t, fmt.Sprint("layer ", layer), got, want, []float64{0, 0, 0, want[3] * 1e-5, 1e-4})
		case "likeness":
			out, err := n.Run(noise())
			if err != nil {
				t.Fatal(err)
			}
			got, within := make([]float64, len(out)), make([]float64, len(out))
			for i, v := range out {
				got[i], within[i] = float64(v), 1e-5
			}
			near(t, "likeness", got, want, within)
		}
	}
	if layer != len(n.blocks)+1 {
		t.Errorf("%d layers were compared", layer)
	}
}

func near(t *testing.T, what string, got, want, within []float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d values, want %d", what, len(got), len(want))
	}
	for i := range got {
		if !(math.Abs(got[i]-want[i]) <= within[i]) {
			t.Errorf("%s: value %d is %g, want %g", what, i, got[i], want[i])
		}
	}
}

// A run leaves nothing behind for the next one, and allocates nothing.
func TestRunAgain(t *testing.T) {
	n, face := load(t), noise()
	out, err := n.Run(face)
	if err != nil {
		t.Fatal(err)
	}
	first := slices.Clone(out)
	if _, err := n.Run(&nn.Tensor{H: Side, W: Side, C: 3, Data: make([]float32, Side*Side*3)}); err != nil {
		t.Fatal(err)
	}
	if out, err = n.Run(face); err != nil || !slices.Equal(out, first) {
		t.Fatalf("%v, %v, the first time %v", out, err, first)
	}
	if _, err := n.Run(&nn.Tensor{H: Side, W: Side, C: 1, Data: make([]float32, Side*Side)}); err == nil {
		t.Error("a grey face was taken")
	}
	if _, err := n.Run(&nn.Tensor{H: 8, W: 8, C: 3, Data: make([]float32, 192)}); err == nil {
		t.Error("a small face was taken")
	}
}

func BenchmarkRun(b *testing.B) {
	n, in := load(b), noise()
	for b.Loop() {
		if _, err := n.Run(in); err != nil {
			b.Fatal(err)
		}
	}
}
