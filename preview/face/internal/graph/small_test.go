package graph

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"

	"garner/preview/face/internal/nn"
)

// residual is a network as those of faces are made: two channels of 2x2, times a
// matrix of 16-bit numbers, with zeros for a third channel, a sum, an activation.
//
//	t0 ── conv 1x1 ─► t5 ─┐
//	 └─ zeros ─► t7 ───────┴► t8 ─ PReLU ─► t10 ─ reshape ─► t11
func residual() ([]variable, []operate) {
	return []variable{
			{dims: []int32{1, 2, 2, 2}}, // 0: the input
			{dims: []int32{3, 1, 1, 2}, kind: float16s, data: halves(1, 0, 0, 1, -1, -2)},
			{dims: []int32{3, 1, 1, 2}},                                 // 2: the same as float32
			{dims: []int32{3}, kind: float16s, data: halves(0, 0, 0.5)}, // 3: biases
			{dims: []int32{3}},
			{dims: []int32{1, 2, 2, 3}}, // 5
			{dims: []int32{4, 2}, kind: int32Kind, data: whole(0, 0, 0, 0, 0, 0, 0, 1)},
			{dims: []int32{1, 2, 2, 3}},                           // 7
			{dims: []int32{1, 2, 2, 3}},                           // 8
			{dims: []int32{1, 1, 3}, data: singles(0.25, 0.5, 2)}, // 9: slopes
			{dims: []int32{1, 2, 2, 3}},                           // 10
			{dims: []int32{1, 4, 3}},                              // 11
		}, []operate{
			{code: opDequantize, in: []int32{1}, out: []int32{2}},
			{code: opDequantize, in: []int32{3}, out: []int32{4}},
			{code: opConv, in: []int32{0, 2, 4}, out: []int32{5}, options: fields{uint8(1), int32(1), int32(1)}},
			{code: opPad, in: []int32{0, 6}, out: []int32{7}},
			{code: opAdd, in: []int32{7, 5}, out: []int32{8}},
			{code: opPRelu, in: []int32{8, 9}, out: []int32{10}},
			{code: opReshape, in: []int32{10}, out: []int32{11}},
		}
}

func residualFile() []byte {
	t, o := residual()
	return file(t, o, []int32{0}, []int32{11})
}

// TestResidual has its numbers worked out by hand: the matrix gives a, b and
// 0.5-a-2b, the sum 2a, 2b and the last again.
func TestResidual(t *testing.T) {
	for _, fused := range []bool{false, true} {
		g, err := load(residualFile(), fused)
		if err != nil {
			t.Fatal(err)
		}
		if h, w, c := g.Input(); h != 2 || w != 2 || c != 2 || !slices.Equal(g.Outputs(), []string{"t11"}) {
			t.Fatalf("takes %d x %d x %d, gives %q", h, w, c, g.Outputs())
		}
		var made []string
		g.Trace(func(name string, _ *nn.Tensor) { made = append(made, name) })
		out, err := g.Run(&nn.Tensor{H: 2, W: 2, C: 2, Data: []float32{1, 2, -1, -3, 0, 0, -4, 1}})
		if err != nil {
			t.Fatal(err)
		}
		want := []float32{
			2, 4, -9, // 0.5-1-4 = -4.5, times 2
			-0.5, -3, 7.5, // -2 times 1/4, -6 times 1/2, 0.5+1+6
			0, 0, 0.5,
			-2, 2, 2.5, // -8 times 1/4
		}
		if len(out) != 1 || out[0].H != 1 || out[0].W != 4 || out[0].C != 3 || !slices.Equal(out[0].Data, want) {
			t.Errorf("fused %v: %v, not %v", fused, out[0], want)
		}
		names := map[bool]string{false: "t5 t7 t8 t10 t11", true: "t10 t11"}[fused]
		if strings.Join(made, " ") != names {
			t.Errorf("fused %v: made %q, not %q", fused, made, names)
		}
	}
}

// TestEarlyResultStays: what is made first and is a result is not overwritten by
// what comes after it, though nothing reads it any more.
func TestEarlyResultStays(t *testing.T) {
	tensors := []variable{{dims: []int32{1, 2, 2, 2}}, {dims: []int32{1, 1, 2}, data: singles(3, 3)}}
	var ops []operate
	for i := range int32(8) { // all from the input: the first is needed by nothing
		tensors = append(tensors, variable{dims: []int32{1, 2, 2, 2}})
		ops = append(ops, operate{code: opMul, in: []int32{0, 0}, out: []int32{i + 2}})
	}
	ops[0] = operate{code: opPRelu, in: []int32{0, 1}, out: []int32{2}}
	g, err := Load(file(tensors, ops, []int32{0}, []int32{2, 9}))
	if err != nil {
		t.Fatal(err)
	}
	out, err := g.Run(&nn.Tensor{H: 2, W: 2, C: 2, Data: []float32{-1, -2, -3, -4, 5, 6, 7, 8}})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range [][]float32{{-3, -6, -9, -12, 5, 6, 7, 8}, {1, 4, 9, 16, 25, 36, 49, 64}} {
		if !slices.Equal(out[i].Data, want) {
			t.Errorf("result %d is %v, not %v", i, out[i].Data, want)
		}
	}
}

// TestRunRefusesOtherSizes and runs again after that.
func TestRunRefusesOtherSizes(t *testing.T) {
	g, err := Load(residualFile())
	if err != nil {
		t.Fatal(err)
	}
	for _, in := range []*nn.Tensor{{H: 2, W: 2, C: 3, Data: make([]float32, 12)}, {H: 2, W: 2, C: 2, Data: make([]float32, 7)}, {H: 1, W: 2, C: 2, Data: make([]float32, 4)}, {}} {
		if out, err := g.Run(in); err == nil || out != nil {
			t.Errorf("%d x %d x %d with %d values: no error", in.H, in.W, in.C, len(in.Data))
		}
	}
	if _, err := g.Run(&nn.Tensor{H: 2, W: 2, C: 2, Data: make([]float32, 8)}); err != nil {
		t.Error(err)
	}
}

// TestHostileFiles changes one thing of a good file each.
func TestHostileFiles(t *testing.T) {
	build := func(change func(t []variable, o []operate) ([]variable, []operate)) []byte {
		v, o := change(residual())
		return file(v, o, []int32{0}, []int32{11})
	}
	var format FormatError
	var unsupported UnsupportedError
	for name, c := range map[string]struct {
		b  []byte
		as any
	}{
		"empty":                {nil, &format},
		"another kind of file": {bytes.Replace(residualFile(), []byte("TFL3"), []byte("TFL2"), 1), &format},
		"another version":      {start(fields{int32(4), []fields{}, []fields{}, "", []fields{}}), &unsupported},
		"two graphs":           {start(fields{int32(3), []fields{}, []fields{{}, {}}, "", []fields{}}), &format},
		"a sum of its own result": {build(func(t []variable, o []operate) ([]variable, []operate) {
			o[4].in = []int32{8, 5}
			return t, o
		}), &format},
		"a loop of two": {build(func(t []variable, o []operate) ([]variable, []operate) {
			o[3].in[0], o[4].in = 8, []int32{7, 5}
			return t, o
		}), &format},
		"a tensor written twice": {build(func(t []variable, o []operate) ([]variable, []operate) {
			return t, append(o, o[3])
		}), &format},
		"a constant written": {build(func(t []variable, o []operate) ([]variable, []operate) {
			o[5].out[0] = 9
			return t, o
		}), &format},
		"the input written": {build(func(t []variable, o []operate) ([]variable, []operate) {
			t = append(t, variable{dims: []int32{1, 1, 2}, data: singles(1, 1)})
			return t, append(o, operate{code: opPRelu, in: []int32{0, 12}, out: []int32{0}})
		}), &format},
		"a result that nothing makes": {build(func(t []variable, o []operate) ([]variable, []operate) {
			return t, o[:6]
		}), &format},
		"a tensor that is not there": {build(func(t []variable, o []operate) ([]variable, []operate) {
			o[4].in[0] = 99
			return t, o
		}), &format},
		"a negative tensor": {build(func(t []variable, o []operate) ([]variable, []operate) {
			o[2].in[2] = -1
			return t, o
		}), &format},
		"a huge shape": {build(func(t []variable, o []operate) ([]variable, []operate) {
			t[0].dims = []int32{1, 65536, 65536, 2}
			return t, o
		}), &unsupported},
		"a shape below zero": {build(func(t []variable, o []operate) ([]variable, []operate) {
			t[0].dims = []int32{1, -2, -2, 2}
			return t, o
		}), &unsupported},
		"a shape whose product is small again": {build(func(t []variable, o []operate) ([]variable, []operate) {
			t[5].dims = []int32{1, 65536, 65536, 65536}
			return t, o
		}), &unsupported},
		"weights that are not all there": {build(func(t []variable, o []operate) ([]variable, []operate) {
			t[1].data = t[1].data[:10]
			return t, o
		}), &format},
		"a conversion to more": {build(func(t []variable, o []operate) ([]variable, []operate) {
			t[2].dims = []int32{3, 64, 64, 2}
			return t, o
		}), &format},
		"a window of 0": {build(func(t []variable, o []operate) ([]variable, []operate) {
			o[2].options[1] = int32(0)
			return t, o
		}), &unsupported},
		"a border of -1": {build(func(t []variable, o []operate) ([]variable, []operate) {
			t[6].data = whole(0, 0, 0, 0, 0, 0, -1, 2)
			return t, o
		}), &format},
		"a border of pictures": {build(func(t []variable, o []operate) ([]variable, []operate) {
			t[6].data = whole(0, 1, 0, 0, 0, 0, 0, 1)
			return t, o
		}), &unsupported},
		"a shape that another comes of": {build(func(t []variable, o []operate) ([]variable, []operate) {
			t[8].dims = []int32{1, 2, 1, 3}
			return t, o
		}), &format},
		"a reshape to more": {build(func(t []variable, o []operate) ([]variable, []operate) {
			t[11].dims = []int32{1, 4, 4}
			return t, o
		}), &format},
		"dilation": {build(func(t []variable, o []operate) ([]variable, []operate) {
			o[2].options = fields{uint8(1), int32(1), int32(1), nil, int32(2), int32(1)}
			return t, o
		}), &unsupported},
		"an operation that is not known": {build(func(t []variable, o []operate) ([]variable, []operate) {
			o[5].code = 77
			return t, o
		}), &unsupported},
		"too few inputs": {build(func(t []variable, o []operate) ([]variable, []operate) {
			o[4].in = o[4].in[:1]
			return t, o
		}), &format},
		"an input that is a result": {file([]variable{{dims: []int32{1, 2, 2, 2}}}, nil, []int32{0}, []int32{0}), &unsupported},
	} {
		g, err := Load(c.b)
		if g != nil || !errors.As(err, c.as) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestLimits: files of a few hundred bytes that would take much memory or time.
func TestLimits(t *testing.T) {
	sides := func(h, w int32, n int) []variable {
		return slices.Repeat([]variable{{dims: []int32{1, h, w, 1}}}, n)
	}
	unary := func(code int, in, out int32) operate { return operate{code: code, in: []int32{in}, out: []int32{out}} }
	pool := unary(opMaxPool, 0, 1)
	pool.options = fields{uint8(0), int32(1), int32(1), int32(64), int32(64)}
	for says, b := range map[string][]byte{
		"a tensor of [1 2049 2048 1]": file(sides(2049, 2048, 2), []operate{unary(opRelu, 0, 1)}, []int32{0}, []int32{1}),
		"too much arithmetic":         file(sides(1024, 1024, 2), []operate{pool}, []int32{0}, []int32{1}),
		"12582912 values at one time": file(sides(2048, 2048, 4), []operate{unary(opRelu, 0, 1), unary(opRelu, 0, 2),
			{code: opAdd, in: []int32{1, 2}, out: []int32{3}}}, []int32{0}, []int32{3}),
	} {
		var unsupported UnsupportedError
		if _, err := Load(b); !errors.As(err, &unsupported) || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v", says, err)
		}
	}
}

// TestConstantsAreCountedOnce: a file whose operations all read the same constant
// would otherwise make a large network of a small file.
func TestConstantsAreCountedOnce(t *testing.T) {
	v, o := residual()
	in := int32(10)
	for range 100 {
		o = append(o, operate{code: opPRelu, in: []int32{in, 9}, out: []int32{int32(len(v))}})
		in = int32(len(v))
		v = append(v, variable{dims: []int32{1, 2, 2, 3}})
	}
	if _, err := Load(file(v, o, []int32{0}, []int32{11})); err != nil {
		t.Errorf("small ones: %v", err)
	}
	v[9] = variable{dims: []int32{3000}, data: make([]byte, 12000)}
	for _, i := range []int{5, 7, 8, 10} {
		v[i].dims = []int32{1, 2, 2, 3000}
	}
	for i := 12; i < len(v); i++ {
		v[i].dims = v[10].dims
	}
	v[6].data, v[11].dims = whole(0, 0, 0, 0, 0, 0, 0, 2998), []int32{1, 4, 3000}
	v[1], v[2].dims = variable{dims: []int32{3000, 1, 1, 2}, kind: float16s, data: make([]byte, 12000)}, []int32{3000, 1, 1, 2}
	v[3], v[4].dims = variable{dims: []int32{3000}, kind: float16s, data: make([]byte, 6000)}, []int32{3000}
	_, err := Load(file(v, o, []int32{0}, []int32{11}))
	if err == nil || !strings.Contains(err.Error(), "again and again") {
		t.Errorf("large ones: %v", err)
	}
}

// TestCutFiles: no part of a file is a file. What ends a small one is a buffer.
func TestCutFiles(t *testing.T) {
	b := residualFile()
	if _, err := Load(b); err != nil {
		t.Fatal(err)
	}
	for n := range b {
		if _, err := Load(b[:n:n]); err == nil {
			t.Errorf("cut to %d of %d bytes: no error", n, len(b))
		}
	}
}
