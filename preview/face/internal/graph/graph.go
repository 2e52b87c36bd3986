package graph

import (
	"fmt"

	"garner/preview/face/internal/nn"
)

// Graph is a network that is ready to run. It is for one goroutine.
type Graph struct {
	in    *nn.Tensor // its values are those of the tensor that Run is given
	out   []*nn.Tensor
	names []string // of the results
	steps []step
	trace func(name string, t *nn.Tensor)
}

// step is one thing to do.
type step struct {
	name string // of the tensor that it makes
	run  layer  // nil where the values are there already
	dst  *nn.Tensor
	in   []*nn.Tensor
}

// Load reads a .tflite file. The bytes are not kept. The error is a FormatError, an
// UnsupportedError, or one of package nn about sizes.
func Load(b []byte) (*Graph, error) { return load(b, true) }

// load reads a file; where nothing is fused, every tensor of the file is made.
func load(b []byte, fused bool) (*Graph, error) {
	m, err := parse(b)
	if err != nil {
		return nil, err
	}
	n, err := understand(m, len(b))
	if err != nil {
		return nil, err
	}
	if fused {
		n.fuse()
	}
	return n.graph()
}

// graph makes a network ready.
func (n *network) graph() (*Graph, error) {
	tensors, views, err := n.place()
	if err != nil {
		return nil, err
	}
	g := &Graph{in: tensors[n.in]}
	t := &n.tensors[n.in]
	g.in.H, g.in.W, g.in.C = t.h, t.w, t.c
	for _, node := range n.nodes {
		s := step{name: n.tensors[node.out].name, dst: tensors[node.out]}
		if _, ok := views[node.out]; !ok {
			if s.run, err = node.op.layer(); err != nil {
				return nil, fmt.Errorf("%w (for %q)", err, s.name)
			}
		}
		for _, i := range node.in {
			s.in = append(s.in, tensors[i])
		}
		g.steps = append(g.steps, s)
	}
	for _, o := range n.out {
		if o == n.in {
			return nil, unsupported("an input that is a result")
		}
		g.out = append(g.out, tensors[o])
		g.names = append(g.names, n.tensors[o].name)
	}
	return g, nil
}

// Input returns the rows, columns and channels of what Run takes.
func (g *Graph) Input() (h, w, c int) { return g.in.H, g.in.W, g.in.C }

// Outputs returns the names of the results in their order.
func (g *Graph) Outputs() []string { return g.names }

// Trace has f called with every tensor that a run makes, as soon as it is there;
// nil ends that. What was fused has no tensors between. The tensor is the graph's
// own and is overwritten later.
func (g *Graph) Trace(f func(name string, t *nn.Tensor)) { g.trace = f }

// Run runs the network. The results are the graph's own and hold until the next Run.
func (g *Graph) Run(in *nn.Tensor) ([]*nn.Tensor, error) {
	if in.H != g.in.H || in.W != g.in.W || in.C != g.in.C || len(in.Data) != in.H*in.W*in.C {
		return nil, fmt.Errorf("a picture of %d x %d x %d for a network of %d x %d x %d",
			in.H, in.W, in.C, g.in.H, g.in.W, g.in.C)
	}
	g.in.Data = in.Data
	defer func() { g.in.Data = nil }()
	for i := range g.steps {
		s := &g.steps[i]
		if s.run != nil {
			if err := s.run(s.dst, s.in); err != nil {
				return nil, fmt.Errorf("%s: %w", s.name, err)
			}
		}
		if g.trace != nil {
			g.trace(s.name, s.dst)
		}
	}
	return g.out, nil
}
