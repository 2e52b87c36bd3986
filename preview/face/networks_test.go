package face

import (
	"testing"

	"garner/preview/face/internal/nn"
	"garner/testdata/testface"
)

// The networks as a Reader runs them give what they give in the packages that publish
// them, run in node, to 1e-3. The numbers are the same for plain Go and for vector code,
// so that these differ by twice that at most.
func TestNetworksAgainstTheirPackages(t *testing.T) {
	b := &builtIn{}
	for _, c := range []struct {
		name    string
		net     func() (network, error)
		side    int
		most    float32 // what the picture's 1 is to the network
		outputs []string
	}{
		{"detector", b.finder, finderSide, 1, []string{"reshaped_regressor_face_4", "reshaped_classifier_face_4"}},
		{"mesh", b.mesh, meshSide, 1, []string{"output_mesh_identity", "output_lips", "output_left_eye", "output_right_eye", "output_left_iris", "output_right_iris", "conv_faceflag"}},
		{"likeness", b.likeness, chipSide, 255, []string{""}},
	} {
		net, err := c.net()
		if err != nil {
			t.Fatal(err)
		}
		again, err := c.net()
		if err != nil || again != net {
			t.Errorf("%s: made twice, %v", c.name, err)
		}
		for _, golden := range testface.Goldens(t, c.name) {
			for i, v := range testface.Picture(golden.Picture, c.side) {
				net.input()[i] = v * c.most
			}
			got, err := net.run()
			if err != nil || len(got) != len(golden.Outputs) {
				t.Fatalf("%s, %s: %d outputs, %v", c.name, golden.Picture, len(got), err)
			}
			for i, o := range golden.Outputs {
				for k, name := range c.outputs {
					if name == o.Name || name == "" {
						i = k
					}
				}
				if off := o.Off(got[i]); off > testface.Tolerance {
					t.Errorf("%s, %s, %s, by %s: off by %g", c.name, golden.Picture, o.Name, nn.Path(), off)
				}
			}
		}
	}
}

// A drawing of a face is found where it was drawn, with its eyes open.
func TestDrawnFace(t *testing.T) {
	v := testface.Picture("face", 192)
	sample := func(x, y, c int) float64 { return float64(v[(y/2*192+x/2)*3+c]) * 255 }
	m := painted(384, 384, 1, 1,
		func(x, y int) byte {
			return byte(0.299*sample(x, y, 0) + 0.587*sample(x, y, 1) + 0.114*sample(x, y, 2))
		},
		func(x, y int) byte {
			return byte(128 - 0.168736*sample(x, y, 0) - 0.331264*sample(x, y, 1) + 0.5*sample(x, y, 2))
		},
		func(x, y int) byte {
			return byte(128 + 0.5*sample(x, y, 0) - 0.418688*sample(x, y, 1) - 0.081312*sample(x, y, 2))
		})
	r := New()
	found, err := r.Find(t.Context(), m)
	if err != nil || len(found) != 1 {
		t.Fatalf("%d faces, %v", len(found), err)
	}
	f := found[0]
	if !near(f.Points[0], Point{150, 176}, 20) || !near(f.Points[1], Point{234, 176}, 20) {
		t.Errorf("eyes at %v", f.Points[:2])
	}
	e, err := r.Eyes(t.Context(), m, f)
	if err != nil {
		t.Fatal(err)
	}
	// As drawn: 22 x 12 of 192 each, 42 apart.
	if e.Presence < 0.5 || state(e) != "open" || e.Apart < 70 || e.Apart > 100 || e.Roll < -0.1 || e.Roll > 0.1 || f.Unlikely(e) {
		t.Errorf("%+v", e)
	}
	if _, err := r.Template(t.Context(), m, e); err != nil {
		t.Error(err)
	}
}
