package face

import (
	"testing"

	"garner/preview/face/internal/nn"
	"garner/preview/jpeg"
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

// drawn is a drawing of a head, 384 pixels a side, in YCbCr by the matrix of JFIF.
func drawn() *jpeg.Image {
	v := testface.Picture("face", 192)
	mix := func(r, g, b, plus float64) func(x, y int) byte {
		return func(x, y int) byte {
			px := v[(y/2*192+x/2)*3:]
			return byte(255*(r*float64(px[0])+g*float64(px[1])+b*float64(px[2])) + plus)
		}
	}
	return painted(384, 384, 1, 1, mix(0.299, 0.587, 0.114, 0), mix(-0.168736, -0.331264, 0.5, 128), mix(0.5, -0.418688, -0.081312, 128))
}

// A drawing of a face is found where it was drawn, with its eyes open.
func TestDrawnFace(t *testing.T) {
	m, r := drawn(), New()
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
