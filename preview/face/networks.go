package face

import (
	"errors"
	"fmt"

	"garner/preview/face/internal/graph"
	"garner/preview/face/internal/likeness"
	"garner/preview/face/internal/nn"
	"garner/preview/face/models"
)

// builtIn are the networks of this build, each unpacked when it is first wanted.
type builtIn struct{ finds, looks, knows network }

func (b *builtIn) finder() (network, error) {
	return once(&b.finds, func() (network, error) {
		return published(models.Detector, finderSide, "reshaped_regressor_face_4", "reshaped_classifier_face_4")
	})
}

// The outputs of the mesh have the names that its authors gave them, whose left is the
// left of the picture.
func (b *builtIn) mesh() (network, error) {
	return once(&b.looks, func() (network, error) {
		return published(models.Mesh, meshSide, "output_mesh_identity", "output_lips",
			"output_left_eye", "output_right_eye", "output_left_iris", "output_right_iris", "conv_faceflag")
	})
}

func (b *builtIn) likeness() (network, error) {
	return once(&b.knows, func() (network, error) {
		manifest, err := models.LikenessManifest()
		if err != nil {
			return nil, err
		}
		weights, err := models.Likeness()
		if err != nil {
			return nil, err
		}
		n, err := likeness.Load(manifest, weights)
		if err != nil {
			return nil, err
		}
		return &known{net: n, in: squareOf(chipSide)}, nil
	})
}

// known is the network of templates.
type known struct {
	net *likeness.Net
	in  nn.Tensor
}

func (k *known) input() []float32 { return k.in.Data }

func (k *known) run() ([][]float32, error) {
	out, err := k.net.Run(&k.in)
	return [][]float32{out}, err
}

func squareOf(side int) nn.Tensor {
	return nn.Tensor{H: side, W: side, C: 3, Data: make([]float32, side*side*3)}
}

// once makes a network or returns the one that was made.
func once(n *network, build func() (network, error)) (network, error) {
	if *n != nil {
		return *n, nil
	}
	made, err := build()
	if err == nil {
		*n = made
	}
	return made, err
}

// file is a network of a .tflite file.
type file struct {
	graph *graph.Graph
	in    nn.Tensor
	order []int // of its outputs
	out   [][]float32
}

// published reads a network whose input is a square of three channels and whose
// outputs have these names.
func published(weights func() ([]byte, error), side int, names ...string) (network, error) {
	b, err := weights()
	if err != nil {
		return nil, err
	}
	g, err := graph.Load(b)
	if err != nil {
		return nil, err
	}
	if h, w, c := g.Input(); h != side || w != side || c != 3 {
		return nil, fmt.Errorf("%w: an input of %d x %d x %d", errOutput, h, w, c)
	}
	f := &file{graph: g, in: squareOf(side), out: make([][]float32, len(names))}
	for _, n := range names {
		at := -1
		for i, o := range g.Outputs() {
			if o == n {
				at = i
			}
		}
		if at < 0 {
			return nil, fmt.Errorf("%w: no output %s among %q", errOutput, n, g.Outputs())
		}
		f.order = append(f.order, at)
	}
	return f, nil
}

func (f *file) input() []float32 { return f.in.Data }

func (f *file) run() ([][]float32, error) {
	out, err := f.graph.Run(&f.in)
	if err != nil {
		return nil, err
	}
	for i, at := range f.order {
		if at >= len(out) {
			return nil, errors.New("an output is missing")
		}
		f.out[i] = out[at].Data
	}
	return f.out, nil
}
