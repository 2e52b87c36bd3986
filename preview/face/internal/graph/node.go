package graph

import (
	"fmt"

	"garner/preview/face/internal/nn"
)

// node is an operation that has a meaning: its constants are numbers, and its
// shapes fit.
type node struct {
	in  []int // tensors that are read
	out int   // the one that is written
	op  operation
}

// operation is what a node does.
type operation interface {
	// shape says what comes of inputs.
	shape(in []*tensor) (h, w, c int, err error)
	// work is the arithmetic for each value that comes out.
	work() int
	// layer makes it ready to run.
	layer() (layer, error)
}

// layer runs an operation.
type layer func(dst *nn.Tensor, in []*nn.Tensor) error

// maxWork is the most that one run may take, in operations of arithmetic; the
// larger of the two networks takes 107 million.
const maxWork = 1 << 30

// network is a file's operations in an order in which they can be done.
type network struct {
	tensors []tensor
	nodes   []node
	consts  map[int]*nn.Tensor // operands that are constant
	in      int
	out     []int
	work    int
}

// builder makes nodes of calls.
type builder struct {
	*model
	net    *network
	source map[int]int // of a tensor that is a constant in other words
	made   []bool      // which tensors have values
	budget int         // how many values of constants may still be read
}

// understand gives every call its meaning. size is the file's.
func understand(m *model, size int) (*network, error) {
	b := &builder{
		model:  m,
		net:    &network{tensors: m.tensors, consts: map[int]*nn.Tensor{}, in: m.in[0], out: m.out},
		source: map[int]int{},
		made:   make([]bool, len(m.tensors)),
		// Every value takes two bytes at least and is in the file once.
		budget: size / 2,
	}
	if err := b.running(m.in[0]); err != nil {
		return nil, err
	}
	b.made[m.in[0]] = true
	for i, c := range m.calls {
		if err := b.add(c); err != nil {
			return nil, fmt.Errorf("%w (operation %d, for %q)", err, i, m.tensors[c.out[0]].name)
		}
	}
	for _, o := range m.out {
		if !b.made[o] {
			return nil, badFormat("nothing makes the result %q", m.tensors[o].name)
		}
	}
	return b.net, nil
}

// running checks a tensor that is not constant.
func (b *builder) running(i int) error {
	t := &b.tensors[i]
	switch {
	case t.constant():
		return badFormat("a constant is written to")
	case t.kind != float32s:
		return unsupported("values of type %d", t.kind)
	case len(t.dims) == 0 || len(t.dims) == 4 && t.dims[0] != 1:
		return unsupported("a tensor of %v", t.dims)
	case b.made[i]:
		return badFormat("%q is written twice", t.name)
	}
	return nil
}

// add makes a node of a call, or notes that it only says a constant again.
func (b *builder) add(c call) error {
	if c.code == opDequantize {
		return b.dequantize(c)
	}
	op, operands, err := b.meaning(c)
	if err != nil {
		return err
	}
	out := c.out[0]
	if err := b.running(out); err != nil {
		return err
	}
	in := make([]*tensor, len(operands))
	for k, i := range operands {
		in[k] = &b.tensors[i]
		if err := b.operand(i); err != nil {
			return err
		}
	}
	t := &b.tensors[out]
	h, w, ch, err := op.shape(in)
	if err != nil {
		return err
	}
	if h != t.h || w != t.w || ch != t.c {
		return badFormat("%d x %d x %d values for a tensor of %v", h, w, ch, t.dims)
	}
	b.net.work += t.values() * (1 + op.work())
	if b.net.work > maxWork {
		return unsupported("a network that takes too much arithmetic")
	}
	b.made[out] = true
	b.net.nodes = append(b.net.nodes, node{operands, out, op})
	return nil
}

// operand sees to it that a tensor can be read when the network runs.
func (b *builder) operand(i int) error {
	if b.made[i] || b.net.consts[i] != nil {
		return nil
	}
	t := &b.tensors[i]
	if len(t.dims) == 4 && t.dims[0] != 1 {
		return unsupported("a tensor of %v", t.dims)
	}
	v, err := b.floats(i, t.values())
	if err == nil {
		b.net.consts[i] = &nn.Tensor{H: t.h, W: t.w, C: t.c, Data: v}
	}
	return err
}

// dequantize notes that a tensor is a constant of 16-bit numbers.
func (b *builder) dequantize(c call) error {
	out := c.out[0]
	if len(c.in) != 1 || !b.tensors[c.in[0]].constant() || b.tensors[c.in[0]].kind != float16s {
		return unsupported("a conversion of what is no constant of 16-bit numbers")
	}
	if _, twice := b.source[out]; twice || b.tensors[out].constant() || b.made[out] {
		return badFormat("%q is written twice", b.tensors[out].name)
	}
	if b.tensors[out].values() != b.tensors[c.in[0]].values() {
		return badFormat("a conversion to another size")
	}
	b.source[out] = c.in[0]
	return nil
}

// floats returns a constant of n values.
func (b *builder) floats(i, n int) ([]float32, error) {
	t := &b.tensors[i]
	if s, ok := b.source[i]; ok {
		t = &b.tensors[s]
	}
	if !t.constant() {
		return nil, badFormat("%q is read before it has values", t.name)
	}
	if t.kind == int32Kind || t.values() != n {
		return nil, badFormat("a constant of %v where %d numbers are wanted", t.dims, n)
	}
	if b.budget -= n; b.budget < 0 {
		return nil, unsupported("constants that are used again and again")
	}
	return t.floats(), nil
}

// wholes returns a constant of n whole numbers.
func (b *builder) wholes(i, n int) ([]int, error) {
	t := &b.tensors[i]
	if !t.constant() || t.kind != int32Kind || t.values() != n {
		return nil, badFormat("%v where %d whole numbers are wanted", t.dims, n)
	}
	return int32s(t.data), nil
}
