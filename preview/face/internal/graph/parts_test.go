package graph

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/preview/face/internal/nn"
)

// TestHalf holds every 16-bit number to its definition (IEEE 754, binary16): a
// sign, five bits of exponent from -14, ten of fraction.
func TestHalf(t *testing.T) {
	for h := range 1 << 16 {
		exp, frac := h>>10&31, float64(h&1023)
		want := math.Ldexp(1+frac/1024, exp-15)
		switch exp {
		case 0:
			want = math.Ldexp(frac/1024, -14)
		case 31:
			want = math.Inf(1)
			if frac != 0 {
				want = math.NaN()
			}
		}
		if h&0x8000 != 0 {
			want = math.Copysign(want, -1)
		}
		got := float64(half(uint16(h)))
		if got != want && !(got != got && want != want) || math.Signbit(got) != math.Signbit(want) {
			t.Fatalf("%04x is %g, not %g", h, got, want)
		}
	}
}

// TestFollow: offsets lead forward and stay inside.
func TestFollow(t *testing.T) {
	for _, c := range []struct {
		b    []byte
		fine bool
	}{
		{[]byte{4, 0, 0, 0, 9, 0, 0, 0}, true},
		{[]byte{0, 0, 0, 0, 9, 0, 0, 0}, false},
		{[]byte{0xFC, 0xFF, 0xFF, 0xFF, 9, 0, 0, 0}, false},
		{[]byte{5, 0, 0, 0, 9, 0, 0, 0}, false},
		{[]byte{4, 0, 0}, false},
	} {
		f := &flat{b: c.b}
		if v := f.i32(f.follow(0)); (f.err == nil) != c.fine || c.fine != (v == 9) {
			t.Errorf("%v: %d, %v", c.b, v, f.err)
		}
	}
}

// TestFlexible reads a map written by hand after the description of FlexBuffers:
// {"a": 7, "b": [1, 2, 300], "c": 1.5}. Every value of the map has four bytes.
func TestFlexible(t *testing.T) {
	b := []byte{
		'a', 0, 'b', 0, 'c', 0, // at 0, 2, 4
		3, 0, 1, 0, 2, 0, 44, 1, // the list: how many, at 6, then from 8 two bytes each
		3,          // at 14: how many keys, and where they are as seen from there
		15, 14, 13, // from 15: back to 0, 2, 4
		0, 0, // to a multiple of four
		5, 0, 0, 0, // at 20: back to the keys
		1, 0, 0, 0, // the width of those
		3, 0, 0, 0, // how many values
		7, 0, 0, 0, // at 32: a
		28, 0, 0, 0, // at 36: b, back to 8
		0, 0, 0xC0, 0x3F, // c
		1<<2 | 2, 11<<2 | 1, 3<<2 | 2, // types: whole, list of whole with two bytes, float
		12 + 3, 9<<2 | 2, 1, // back to 32; a map with four bytes; one byte for that
	}
	m, err := flexible(b)
	if err != nil || len(m) != 3 {
		t.Fatalf("%d values: %v", len(m), err)
	}
	a, err1 := m["a"].whole()
	list, err2 := m["b"].wholes()
	c, err3 := m["c"].real()
	if a != 7 || !slices.Equal(list, []int{1, 2, 300}) || c != 1.5 || err1 != nil || err2 != nil || err3 != nil {
		t.Errorf("%d %v %g (%v %v %v)", a, list, c, err1, err2, err3)
	}
	if _, err := m["b"].whole(); err == nil {
		t.Error("a list is taken for a number")
	}
	if _, err := m["none"].wholes(); err == nil {
		t.Error("what is not there is taken for a list")
	}
	still := slices.Clone(b)
	still[36] = 0
	if m, err := flexible(still); err != nil {
		t.Error(err)
	} else if _, err := m["b"].wholes(); err == nil {
		t.Error("a list that is where its offset is")
	}
	for n := range b { // what is left ends in other bytes: an error or a map, no panic
		if m, err := flexible(b[:n]); err == nil {
			for _, v := range m {
				_, _ = v.wholes()
				_, _ = v.real()
			}
		}
	}
}

// TestOptionsOfMesh: what the file says of the left eye, as can be read in its
// bytes.
func TestOptionsOfMesh(t *testing.T) {
	m, err := parse(unpacked(t, networks[1].file))
	if err != nil {
		t.Fatal(err)
	}
	var found []toMatrix
	for _, c := range m.calls {
		if c.custom == customMatrix {
			op, err := custom(c)
			if err != nil {
				t.Fatal(err)
			}
			found = append(found, op.(toMatrix))
		}
	}
	if len(found) != 3 {
		t.Fatalf("%d of 3", len(found))
	}
	for i, want := range []struct{ left, right, points, first int }{{61, 291, 80, 61}, {33, 133, 71, 33}, {362, 263, 71, 263}} {
		f := found[i]
		if f.left != want.left || f.right != want.right || len(f.subset) != want.points || f.subset[0] != want.first ||
			f.h != 16 || f.w != 16 || f.scaleX != 1.5 || f.scaleY != 1.5 || f.level != 0 {
			t.Errorf("part %d: %+v", i, f)
		}
	}
}

// TestPart: the matrix of a part leads its middle to that of the points as seen
// upright, its sides to those of their box, scaled; its upper side lies as the line
// between the two points does. That holds however all is turned.
func TestPart(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 100 {
		// A box of 2a x 2b about 0 with points on its four sides, turned and moved.
		a, b, turn := 1+9*r.Float64(), 1+9*r.Float64(), 2*math.Pi*r.Float64()
		mx, my := 50*r.Float64(), 50*r.Float64()
		place := func(x, y float64) (float64, float64) {
			return mx + math.Cos(turn)*x - math.Sin(turn)*y, my + math.Sin(turn)*x + math.Cos(turn)*y
		}
		var points []float32
		for _, p := range [][2]float64{{-a, 0.3 * b}, {a, 0.3 * b}, {0.2 * a, -b}, {-0.4 * a, b}, {99, 99}} {
			x, y := place(p[0], p[1])
			points = append(points, float32(x), float32(y), 5)
		}
		o := toMatrix{h: 10, w: 20, left: 0, right: 1, scaleX: 1.5, scaleY: 2, subset: []int{0, 1, 2, 3}}
		m := make([]float32, 16)
		o.run(m, points)
		for _, c := range [][4]float64{{10, 5, 0, 0}, {20, 5, 1.5 * a, 0}, {10, 0, 0, -2 * b}, {0, 10, -1.5 * a, 2 * b}} {
			x := float64(m[0])*c[0] + float64(m[1])*c[1] + float64(m[3])
			y := float64(m[4])*c[0] + float64(m[5])*c[1] + float64(m[7])
			wx, wy := place(c[2], c[3])
			if math.Hypot(x-wx, y-wy) > 1e-4 {
				t.Fatalf("%v of the part is at %.4f, %.4f, not %.4f, %.4f (turned by %.2f)", c[:2], x, y, wx, wy, turn)
			}
		}
		four := &tensor{dims: []int{1, 4, 3}, h: 1, w: 4, c: 3}
		if _, _, _, err := o.shape([]*tensor{four}); err != nil {
			t.Fatal(err)
		}
		o.right = 4
		if _, _, _, err := o.shape([]*tensor{four}); err == nil {
			t.Fatal("point 4 of 4 is taken")
		}
		if m[10] != 1 || m[15] != 1 || m[2] != 0 || m[12] != 0 {
			t.Fatalf("the rest of the matrix: %v", m)
		}
	}
}

// TestSample takes parts of a ramp, x + 100 y at the middle of every pixel, which is
// the same between pixels; beyond their middles there is nothing.
func TestSample(t *testing.T) {
	ramp := &nn.Tensor{H: 6, W: 8, C: 2, Data: make([]float32, 96)}
	for y := range 6 {
		for x := range 8 {
			ramp.Data[2*(8*y+x)] = float32(x) + 100*float32(y)
			ramp.Data[2*(8*y+x)+1] = 1
		}
	}
	run, err := sample{h: 5, w: 5}.layer()
	if err != nil {
		t.Fatal(err)
	}
	dst := &nn.Tensor{H: 5, W: 5, C: 2, Data: make([]float32, 50)}
	for _, m := range [][16]float32{
		{0: 1, 5: 1, 10: 1, 15: 1},                                        // as it is
		{0: 0.5, 3: 2, 5: 0.25, 7: 3, 10: 1, 15: 1},                       // a part, larger
		{0: 0.6, 1: -0.8, 3: 3, 4: 0.8, 5: 0.6, 7: 0.5, 10: 1, 15: 1},     // turned, over the border
		{0: float32(math.NaN()), 3: float32(math.Inf(1)), 5: 1, 7: -1e30}, // no part
	} {
		if err := run(dst, []*nn.Tensor{ramp, {H: 1, W: 4, C: 4, Data: m[:]}}); err != nil {
			t.Fatal(err)
		}
		for i := range 25 {
			u, v := float64(i%5)+0.5, float64(i/5)+0.5
			x := float64(m[0])*u + float64(m[1])*v + float64(m[3]) - 0.5
			y := float64(m[4])*u + float64(m[5])*v + float64(m[7]) - 0.5
			var want, one float64
			if x >= 0 && x <= 7 && y >= 0 && y <= 5 {
				want, one = x+100*y, 1
			}
			if math.Abs(float64(dst.Data[2*i])-want) > 1e-3 || math.Abs(float64(dst.Data[2*i+1])-one) > 1e-6 {
				t.Fatalf("%v: pixel %d is %v, not %g, %g", m, i, dst.Data[2*i:2*i+2], want, one)
			}
		}
	}
}

// TestMoved applies a matrix to points of two and of three numbers.
func TestMoved(t *testing.T) {
	m := &nn.Tensor{H: 1, W: 4, C: 4, Data: []float32{2, 1, 9, 10, -1, 3, 9, 20, 0, 0, 1, 0, 0, 0, 0, 1}}
	for c, want := range map[int][]float32{2: {2 + 2 + 10, -1 + 6 + 20, 10, 20}, 3: {14, 25, 7, 10, 20, 8}} {
		in := &nn.Tensor{H: 1, W: 2, C: c, Data: map[int][]float32{2: {1, 2, 0, 0}, 3: {1, 2, 7, 0, 0, 8}}[c]}
		dst := &nn.Tensor{H: 1, W: 2, C: c, Data: make([]float32, 2*c)}
		run, err := moved{}.layer()
		if err != nil {
			t.Fatal(err)
		}
		if err := run(dst, []*nn.Tensor{in, m}); err != nil || !slices.Equal(dst.Data, want) {
			t.Errorf("%v, not %v (%v)", dst.Data, want, err)
		}
	}
}

// TestArrange: no two blocks that are needed at the same time overlap, and none
// reaches over the end.
func TestArrange(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	for range 200 {
		blocks := map[int]*block{}
		for i := range 1 + r.IntN(40) {
			first := r.IntN(30)
			blocks[i] = &block{size: lane * (1 + r.IntN(20)), first: first, last: first + r.IntN(10)}
		}
		total := arrange(blocks)
		for i, a := range blocks {
			if a.at < 0 || a.at+a.size > total {
				t.Fatalf("%+v of %d", a, total)
			}
			for j, b := range blocks {
				if i != j && a.first <= b.last && b.first <= a.last && a.at < b.at+b.size && b.at < a.at+a.size {
					t.Fatalf("%+v and %+v", a, b)
				}
			}
		}
	}
}
