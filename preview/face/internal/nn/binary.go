package nn

// Add and Mul join two tensors value by value. Where a side of one of them is
// 1, it stands for every place of the other's side. dst may be a or b where that
// has the shape of the result. The activation must not be PReLU.

// Add writes a + b.
func Add(dst, a, b *Tensor, act Act) error {
	return join(dst, a, b, act, func(d, a, b []float32) {
		for i, v := range a {
			d[i] = v + b[i]
		}
	})
}

// Mul writes a * b.
func Mul(dst, a, b *Tensor, act Act) error {
	return join(dst, a, b, act, func(d, a, b []float32) {
		for i, v := range a {
			d[i] = v * b[i]
		}
	})
}

// join calls f with parts of the same length that cover everything.
func join(dst, a, b *Tensor, act Act, f func(d, a, b []float32)) error {
	if act >= PReLU {
		return shapeError("no activation %d after a sum", act)
	}
	h, w, c, err := both(a, b)
	if err != nil {
		return err
	}
	same := a.H == b.H && a.W == b.W && a.C == b.C
	if !same && (dst == a && len(a.Data) != h*w*c || dst == b && len(b.Data) != h*w*c) {
		return shapeError("no result in the place of the smaller tensor")
	}
	x, y := *a, *b // dst may be one of them
	if err := dst.Reset(h, w, c); err != nil {
		return err
	}
	if same {
		f(dst.Data, x.Data, y.Data)
	} else {
		spread(dst, &x, &y, f)
	}
	if act != None {
		for i, v := range dst.Data {
			dst.Data[i] = act.apply(v, 0)
		}
	}
	return nil
}

// both returns the common shape of two tensors.
func both(a, b *Tensor) (h, w, c int, err error) {
	if err := a.check(); err != nil {
		return 0, 0, 0, err
	}
	if err := b.check(); err != nil {
		return 0, 0, 0, err
	}
	fits := func(x, y int) bool { return x == y || x == 1 || y == 1 }
	if !fits(a.H, b.H) || !fits(a.W, b.W) || !fits(a.C, b.C) {
		return 0, 0, 0, shapeError("%d x %d x %d with %d x %d x %d", a.H, a.W, a.C, b.H, b.W, b.C)
	}
	return max(a.H, b.H), max(a.W, b.W), max(a.C, b.C), nil
}

// spread is join for two shapes, pixel by pixel.
func spread(dst, a, b *Tensor, f func(d, a, b []float32)) {
	var ones [2][]float32
	// pixel returns the channels of t that stand for a pixel of dst.
	pixel := func(n int, t *Tensor, y, x int) []float32 {
		v := t.Data[(min(y, t.H-1)*t.W+min(x, t.W-1))*t.C:][:t.C]
		if t.C == dst.C {
			return v
		}
		if ones[n] == nil {
			ones[n] = make([]float32, dst.C)
		}
		for i := range ones[n] {
			ones[n][i] = v[0]
		}
		return ones[n]
	}
	for y := range dst.H {
		for x := range dst.W {
			f(dst.Data[(y*dst.W+x)*dst.C:][:dst.C], pixel(0, a, y, x), pixel(1, b, y, x))
		}
	}
}
