package graph

import (
	"math/rand/v2"
	"slices"
	"testing"

	"garner/preview/face/internal/nn"
	"garner/preview/face/models"
)

// networks are the two that package face runs.
var networks = []struct {
	name    string
	file    func() ([]byte, error)
	outputs []string
	steps   int // that are left when fused
}{
	{"detector", models.Detector, []string{"reshaped_regressor_face_4", "reshaped_classifier_face_4"}, 101},
	{"mesh", models.Mesh, []string{"output_mesh_identity", "output_lips", "output_left_eye", "output_right_eye",
		"output_left_iris", "output_right_iris", "conv_faceflag"}, 193},
}

func unpacked(t testing.TB, file func() ([]byte, error)) []byte {
	t.Helper()
	b, err := file()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// noise is a picture of values from 0 to 1, the same every time.
func noise(h, w, c int) *nn.Tensor {
	r := rand.New(rand.NewPCG(7, 1))
	t := &nn.Tensor{H: h, W: w, C: c, Data: make([]float32, h*w*c)}
	for i := range t.Data {
		t.Data[i] = r.Float32()
	}
	return t
}

// TestFusedIsPlain runs both networks as their files have them and fused, and
// compares every tensor that both make, where it is made.
func TestFusedIsPlain(t *testing.T) {
	for _, n := range networks {
		b := unpacked(t, n.file)
		plain, err := load(b, false)
		if err != nil {
			t.Fatal(err)
		}
		fused, err := Load(b)
		if err != nil {
			t.Fatal(err)
		}
		in := noise(plain.Input())
		if in.H != 192 || in.W != 192 || in.C != 3 || !slices.Equal(plain.Outputs(), n.outputs) {
			t.Errorf("%s takes %d x %d x %d and gives %q", n.name, in.H, in.W, in.C, plain.Outputs())
		}
		all := map[string]nn.Tensor{}
		plain.Trace(func(name string, t *nn.Tensor) {
			all[name] = nn.Tensor{H: t.H, W: t.W, C: t.C, Data: slices.Clone(t.Data)}
		})
		if _, err := plain.Run(in); err != nil {
			t.Fatal(err)
		}
		steps, off := 0, 0.0
		fused.Trace(func(name string, x *nn.Tensor) {
			steps++
			want, ok := all[name]
			if !ok || want.H != x.H || want.W != x.W || want.C != x.C {
				t.Fatalf("%s: %q is %d x %d x %d, not %d x %d x %d", n.name, name, x.H, x.W, x.C, want.H, want.W, want.C)
			}
			off = max(off, apart(x.Data, want.Data))
		})
		if _, err := fused.Run(in); err != nil {
			t.Fatal(err)
		}
		if off > 1e-4 || steps != n.steps {
			t.Errorf("%s: %d steps of %d are left, not %d; off by %g of the largest value", n.name, steps, len(all), n.steps, off)
		}
	}
}

// apart is the largest difference of two tensors, as a part of the largest value.
func apart(got, want []float32) float64 {
	var largest, off float32
	for i, w := range want {
		largest = max(largest, w, -w)
		off = max(off, got[i]-w, w-got[i])
	}
	return float64(off) / float64(max(largest, 1e-6))
}

// TestRunsAreAlike: a run leaves nothing behind for the next one, and the memory
// that tensors share does not show.
func TestRunsAreAlike(t *testing.T) {
	for _, n := range networks {
		g, err := Load(unpacked(t, n.file))
		if err != nil {
			t.Fatal(err)
		}
		in := noise(g.Input())
		var first [][]float32
		for run := range 3 {
			if run == 1 { // another picture in between
				if _, err := g.Run(&nn.Tensor{H: in.H, W: in.W, C: in.C, Data: make([]float32, len(in.Data))}); err != nil {
					t.Fatal(err)
				}
			}
			out, err := g.Run(in)
			if err != nil {
				t.Fatal(err)
			}
			for i, o := range out {
				if run == 0 {
					first = append(first, slices.Clone(o.Data))
				} else if !slices.Equal(o.Data, first[i]) {
					t.Errorf("%s: %s of run %d differs", n.name, g.Outputs()[i], run)
				}
			}
		}
	}
}

// TestRunAllocatesLittle: far fewer times than there are steps.
func TestRunAllocatesLittle(t *testing.T) {
	for _, n := range networks {
		g, err := Load(unpacked(t, n.file))
		if err != nil {
			t.Fatal(err)
		}
		in := noise(g.Input())
		if got := testing.AllocsPerRun(2, func() { _, _ = g.Run(in) }); got > 20 {
			t.Errorf("%s: %v allocations in a run", n.name, got)
		}
	}
}

// TestCutNetworks cuts the real files; none of the parts may be taken for a file,
// wherever its end is.
func TestCutNetworks(t *testing.T) {
	for _, n := range networks {
		b := unpacked(t, n.file)
		for k := range 200 {
			cut := len(b) * k / 100
			if k >= 100 { // the tables stand at the end
				cut = len(b) - 1 - (k-100)*(k-100)*3
			}
			if _, err := Load(b[:cut]); err == nil {
				t.Errorf("%s cut to %d of %d bytes: no error", n.name, cut, len(b))
			}
		}
	}
}

// TestMemory holds what a network needs to little more than the tensors that are
// needed at the worst step, which no order of places can go below.
func TestMemory(t *testing.T) {
	for _, n := range networks {
		b := unpacked(t, n.file)
		m, err := parse(b)
		if err != nil {
			t.Fatal(err)
		}
		net, err := understand(m, len(b))
		if err != nil {
			t.Fatal(err)
		}
		net.fuse()
		blocks := net.blocks(net.views())
		least, all := 0, 0
		for k := range net.nodes {
			sum := 0
			for _, b := range blocks {
				if b.first <= k && k <= b.last {
					sum += b.size
				}
			}
			least = max(least, sum)
		}
		for _, b := range blocks {
			all += b.size
		}
		got := arrange(blocks)
		t.Logf("%s: %d tensors, %d KB; at one step %d KB; placed in %d KB", n.name, len(blocks), all/256, least/256, got/256)
		if got > least*9/8 {
			t.Errorf("%s: %d values placed where %d would do", n.name, got, least)
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	for _, n := range networks {
		b.Run(n.name, func(b *testing.B) {
			file := unpacked(b, n.file)
			for b.Loop() {
				if _, err := Load(file); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRun(b *testing.B) {
	for _, n := range networks {
		b.Run(n.name, func(b *testing.B) {
			g, err := Load(unpacked(b, n.file))
			if err != nil {
				b.Fatal(err)
			}
			in := noise(g.Input())
			b.ReportAllocs()
			for b.Loop() {
				if _, err := g.Run(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
