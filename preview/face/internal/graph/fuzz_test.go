package graph

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"garner/preview/face/internal/nn"
)

// partFile is a network with the three operations of the mesh's own.
func partFile() []byte {
	options := []byte("output_height\x00output_width\x00\x02\x1c\x0f\x02\x01\x02\x02\x02\x04\x04\x04\x24\x01")
	return file([]variable{
		{dims: []int32{1, 4, 4, 3}},
		{dims: []int32{1, 4, 4}, data: singles(1, 0, 0, 1, 0, 1, 0, 1, 0, 0, 1, 0, 0, 0, 0, 1)},
		{dims: []int32{1, 2, 2, 3}},
		{dims: []int32{1, 4, 3}},
		{dims: []int32{1, 4, 3}},
	}, []operate{
		{code: opCustom, custom: customSample, in: []int32{0, 1}, out: []int32{2}, raw: options},
		{code: opReshape, in: []int32{2}, out: []int32{3}},
		{code: opCustom, custom: customTransform, in: []int32{3, 1}, out: []int32{4}},
	}, []int32{0}, []int32{4})
}

// seeds are small networks that have all operations among them.
func seeds() [][]byte {
	windows, o := residual()
	o[2].options = fields{uint8(0), int32(2), int32(1), uint8(1)} // steps and an activation
	windows[5].dims = []int32{1, 2, 1, 3}
	return [][]byte{
		residualFile(),
		partFile(),
		file(windows[:6], o[:3], []int32{0}, []int32{5}),
		file([]variable{
			{dims: []int32{1, 2, 2, 2}},
			{dims: []int32{1, 1, 1, 2}},
			{dims: []int32{1, 3, 5, 2}},
			{dims: []int32{2}, kind: int32Kind, data: whole(3, 5)},
			{dims: []int32{1, 2, 3, 4}, data: make([]byte, 96)},
			{dims: []int32{4}, data: make([]byte, 16)},
			{dims: []int32{1, 2, 3, 4}},
			{dims: []int32{4}, kind: int32Kind, data: whole(0, 0, 1, 0)},
			{dims: []int32{4}, kind: int32Kind, data: whole(1, 2, 3, 3)},
			{dims: []int32{4}, kind: int32Kind, data: whole(1, 1, 2, 1)},
			{dims: []int32{1, 2, 1, 3}},
			{dims: []int32{1, 2, 1, 3}},
			{dims: []int32{1, 2, 1, 3}},
		}, []operate{
			{code: opMaxPool, in: []int32{0}, out: []int32{1}, options: fields{uint8(1), int32(2), int32(2), int32(2), int32(2), uint8(3)}},
			{code: opResize, in: []int32{1, 3}, out: []int32{2}, options: fields{nil, nil, uint8(0), uint8(1)}},
			{code: opDepthwise, in: []int32{2, 4, 5}, out: []int32{6}, options: fields{uint8(1), int32(1), int32(1), int32(2)}},
			{code: opStridedSlice, in: []int32{6, 7, 8, 9}, out: []int32{10}},
			{code: opMul, in: []int32{10, 10}, out: []int32{11}},
			{code: opRelu, in: []int32{11}, out: []int32{12}},
		}, []int32{0}, []int32{12}),
		// A sum with a row of zeros, which no convolution can take for missing channels.
		file([]variable{
			{dims: []int32{1, 2, 2, 2}},
			{dims: []int32{4}, kind: int32Kind, data: whole(0, 0, 0, 0)},
			{dims: []int32{4}, kind: int32Kind, data: whole(1, 1, 2, 2)},
			{dims: []int32{4}, kind: int32Kind, data: whole(1, 1, 1, 1)},
			{dims: []int32{1, 1, 2, 2}},
			{dims: []int32{4, 2}, kind: int32Kind, data: whole(0, 0, 1, 0, 0, 0, 0, 0)},
			{dims: []int32{1, 2, 2, 2}},
			{dims: []int32{2, 1, 1, 2}, data: singles(1, 2, 3, 4)},
			{dims: []int32{2}, data: singles(5, 6)},
			{dims: []int32{1, 2, 2, 2}},
			{dims: []int32{1, 2, 2, 2}},
		}, []operate{
			{code: opStridedSlice, in: []int32{0, 1, 2, 3}, out: []int32{4}},
			{code: opPad, in: []int32{4, 5}, out: []int32{6}},
			{code: opConv, in: []int32{0, 7, 8}, out: []int32{9}, options: fields{uint8(1), int32(1), int32(1)}},
			{code: opAdd, in: []int32{6, 9}, out: []int32{10}},
		}, []int32{0}, []int32{10}),
	}
}

// FuzzLoad holds a file of any bytes to what Load promises: a network or an error,
// a run that comes to its end, and the same results fused or not.
func FuzzLoad(f *testing.F) {
	for i, seed := range seeds() {
		if _, err := Load(seed); err != nil {
			f.Fatalf("seed %d: %v", i, err)
		}
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, b []byte) { hold(t, b) })
}

// TestChangedBytes puts other values at every byte of the seeds, and into several
// bytes at once; it counts what still runs, so that it is not all refused early.
func TestChangedBytes(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	ran, all := 0, 0
	try := func(b []byte) {
		all++
		if hold(t, b) {
			ran++
		}
	}
	for _, seed := range seeds() {
		for i := range seed {
			for _, v := range []byte{0, 1, 2, 3, 0x7F, 0x80, 0xFF, seed[i] + 1, seed[i] - 1, seed[i] + 4, seed[i] ^ 0x10} {
				b := bytes.Clone(seed)
				b[i] = v
				try(b)
			}
		}
		for range 5000 {
			b := bytes.Clone(seed)
			for range 2 + r.IntN(3) {
				b[r.IntN(len(b))] = byte(r.IntN(6))
			}
			try(b)
		}
	}
	t.Logf("%d of %d still run", ran, all)
	if ran < all/20 {
		t.Errorf("only %d of %d still run: the rest is refused before anything is tried", ran, all)
	}
}

// hold is one try; it reports whether there was anything to run.
func hold(t *testing.T, b []byte) bool {
	t.Helper()
	m, err := parse(b)
	if err != nil {
		return false
	}
	n, err := understand(m, len(b))
	if err != nil {
		return false
	}
	h, w, c := n.tensors[n.in].h, n.tensors[n.in].w, n.tensors[n.in].c
	if n.work > 1e5 || h*w*c > 1e5 {
		return false // too large to be quick
	}
	in := noise(h, w, c)
	var results [2][]*nn.Tensor
	for i, fused := range []bool{false, true} {
		g, err := load(b, fused)
		if err != nil {
			return false // of a layer, or too large
		}
		if results[i], err = g.Run(in); err != nil {
			t.Fatalf("loaded, but: %v", err)
		}
	}
	for i, want := range results[0] {
		got := results[1][i]
		if got.H != want.H || got.W != want.W || got.C != want.C || len(got.Data) != len(want.Data) {
			t.Fatalf("result %d is %d x %d x %d, not %d x %d x %d", i, got.H, got.W, got.C, want.H, want.W, want.C)
		}
		if off := apart(got.Data, want.Data); off > 1e-3 {
			t.Fatalf("result %d is off by %g", i, off)
		}
	}
	return true
}
