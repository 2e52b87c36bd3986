package graph

import "fmt"

// Limits of what a file may hold; the networks that are run have at most 1,096
// tensors, 712 operations and 295,000 values in a tensor.
const (
	maxFile    = 8 << 20
	maxTensors = 8192
	maxOps     = 4096
	maxLinks   = 16 // inputs, or outputs, of an operation or of the network
	maxName    = 256
	maxSide    = 1 << 16
	maxValues  = 1 << 22 // of one tensor that is not constant
)

// kind is the type of a tensor's values; the numbers are the schema's TensorType.
type kind int

const (
	float32s  kind = 0
	float16s  kind = 1
	int32Kind kind = 2
)

// tensor is one of the network's tensors.
type tensor struct {
	name    string
	kind    kind
	dims    []int
	h, w, c int
	data    []byte // of a constant
}

// values is how many values the tensor has.
func (t *tensor) values() int {
	n := 1
	for _, d := range t.dims {
		n *= d
	}
	return n
}

// constant reports whether the file holds the values.
func (t *tensor) constant() bool { return t.data != nil }

// call is an operation on tensors, as the file has it.
type call struct {
	code    int    // the schema's BuiltinOperator
	custom  string // the name of a custom one
	version int
	in, out []int
	options table
	raw     []byte // options of a custom one
}

// model is the content of a file.
type model struct {
	tensors []tensor
	calls   []call
	in, out []int
}

// parse reads a file. Field numbers are those of TensorFlow Lite's schema.fbs,
// version 3, whose tables the comments name.
func parse(b []byte) (*model, error) {
	if len(b) > maxFile {
		return nil, unsupported("a file of %d bytes", len(b))
	}
	if len(b) < 8 || string(b[4:8]) != "TFL3" {
		return nil, FormatError("no TFL3 at the start")
	}
	f := &flat{b: b}
	root := f.table(f.follow(0)) // Model
	if v := root.i32(0, 0); v != 3 && f.err == nil {
		return nil, unsupported("version %d of the schema", v)
	}
	codes := root.tables(1, maxOps) // OperatorCode
	graphs := root.tables(2, 1)     // SubGraph
	buffers := root.tables(4, 2*maxTensors)
	if f.err == nil && len(graphs) != 1 {
		return nil, unsupported("%d graphs", len(graphs))
	}
	if f.err != nil {
		return nil, f.err
	}
	m := &model{in: graphs[0].ints(1, maxLinks), out: graphs[0].ints(2, maxLinks)}
	for i, t := range graphs[0].tables(0, maxTensors) {
		x, err := readTensor(t, buffers)
		if f.err == nil && err != nil {
			return nil, fmt.Errorf("%w (tensor %d)", err, i)
		}
		m.tensors = append(m.tensors, x)
	}
	for i, t := range graphs[0].tables(3, maxOps) {
		c, err := m.readCall(t, codes)
		if f.err == nil && err != nil {
			return nil, fmt.Errorf("%w (operation %d)", err, i)
		}
		m.calls = append(m.calls, c)
	}
	if f.err != nil {
		return nil, f.err
	}
	if err := m.known(append(m.in, m.out...)); err != nil {
		return nil, err
	}
	if len(m.in) != 1 || len(m.out) == 0 {
		return nil, unsupported("%d inputs, %d outputs", len(m.in), len(m.out))
	}
	return m, nil
}

// known checks numbers of tensors.
func (m *model) known(list []int) error {
	for _, i := range list {
		if i < 0 || i >= len(m.tensors) {
			return badFormat("tensor %d of %d", i, len(m.tensors))
		}
	}
	return nil
}

// readTensor reads a Tensor.
func readTensor(t table, buffers []table) (tensor, error) {
	x := tensor{name: t.text(3, maxName), kind: kind(t.u8(1)), dims: t.ints(0, 4), h: 1, w: 1, c: 1}
	if t.field(6) != 0 {
		return x, unsupported("a sparse tensor")
	}
	buffer := t.i32(2, 0)
	if buffer < 0 || buffer >= len(buffers) {
		return x, badFormat("buffer %d of %d", buffer, len(buffers))
	}
	x.data, _ = buffers[buffer].vector(0, 1) // Buffer
	if len(x.data) == 0 {
		x.data = nil
	}
	n := 1
	for _, d := range x.dims {
		if d < 1 || d > maxSide || n > maxFile/d {
			return x, unsupported("a tensor of %v", x.dims)
		}
		n *= d
	}
	size := map[kind]int{float32s: 4, float16s: 2, int32Kind: 4}[x.kind]
	switch {
	case size == 0:
		return x, unsupported("values of type %d", x.kind)
	case x.data != nil && len(x.data) != n*size:
		return x, badFormat("%d bytes for a tensor of %v", len(x.data), x.dims)
	case x.data == nil && n > maxValues:
		return x, unsupported("a tensor of %v", x.dims)
	}
	// The last dimension is that of channels. A first of four is that of pictures or,
	// in constants, of channels again: those are read by their dims.
	for k, side := len(x.dims)-1, []*int{&x.c, &x.w, &x.h}; k >= 0 && len(side) > 0; k, side = k-1, side[1:] {
		*side[0] = x.dims[k]
	}
	return x, nil
}

// readCall reads an Operator.
func (m *model) readCall(t table, codes []table) (call, error) {
	c := call{in: t.ints(1, maxLinks), out: t.ints(2, maxLinks), options: t.table(4)}
	c.raw, _ = t.vector(5, 1)
	code := t.i32(0, 0)
	if code < 0 || code >= len(codes) {
		return c, badFormat("operator code %d of %d", code, len(codes))
	}
	// OperatorCode: the first field is the older, of one byte.
	c.code = max(codes[code].u8(0), codes[code].i32(3, 0))
	c.custom = codes[code].text(1, maxName)
	c.version = codes[code].i32(2, 1)
	if len(c.out) != 1 {
		return c, unsupported("an operation of %d results", len(c.out))
	}
	return c, m.known(append(c.in, c.out...))
}
