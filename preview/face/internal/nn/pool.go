package nn

// Pool takes the largest value or the mean of each window, channel by channel.
// Where the window reaches over the border, what lies outside does not count.
type Pool struct {
	window
	mean bool
	act  Act
}

// NewMaxPool returns a pool of the largest value. The activation must not be PReLU.
func NewMaxPool(kh, kw, sh, sw int, pad Padding, act Act) (*Pool, error) {
	return newPool(window{kh, kw, sh, sw, pad}, false, act)
}

// NewAvgPool returns a pool of the mean. The activation must not be PReLU.
func NewAvgPool(kh, kw, sh, sw int, pad Padding, act Act) (*Pool, error) {
	return newPool(window{kh, kw, sh, sw, pad}, true, act)
}

func newPool(w window, mean bool, act Act) (*Pool, error) {
	if act >= PReLU {
		return nil, shapeError("no activation %d after a pool", act)
	}
	return &Pool{w, mean, act}, w.check()
}

// OutShape returns the size of the result for an input of h x w.
func (p *Pool) OutShape(h, w int) (oh, ow int, err error) { return p.window.out(h, w) }

// Run pools in to dst, which must not share memory with it.
func (p *Pool) Run(dst, in *Tensor) error {
	if err := in.check(); err != nil {
		return err
	}
	oh, ow, err := p.window.out(in.H, in.W)
	if err != nil {
		return err
	}
	if err := dst.Reset(oh, ow, in.C); err != nil {
		return err
	}
	_, top, _ := p.pad.Out(in.H, p.kh, p.sh)
	_, left, _ := p.pad.Out(in.W, p.kw, p.sw)
	for y := range oh {
		y0, y1 := max(y*p.sh-top, 0), min(y*p.sh-top+p.kh, in.H)
		for x := range ow {
			x0, x1 := max(x*p.sw-left, 0), min(x*p.sw-left+p.kw, in.W)
			p.place(dst.Data[(y*ow+x)*in.C:][:in.C], in, y0, y1, x0, x1)
		}
	}
	return nil
}

// place pools what lies between two rows and two columns.
func (p *Pool) place(dst []float32, in *Tensor, y0, y1, x0, x1 int) {
	copy(dst, in.Data[(y0*in.W+x0)*in.C:])
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			v := in.Data[(y*in.W+x)*in.C:][:len(dst)]
			switch {
			case y == y0 && x == x0:
			case p.mean:
				for i, s := range v {
					dst[i] += s
				}
			default:
				for i, s := range v {
					dst[i] = max(dst[i], s)
				}
			}
		}
	}
	if p.mean {
		n := float32((y1 - y0) * (x1 - x0))
		for i := range dst {
			dst[i] /= n
		}
	}
	if p.act != None {
		for i, s := range dst {
			dst[i] = p.act.apply(s, 0)
		}
	}
}

// Mean takes the mean of every channel over the whole picture: 1 x 1 x C.
func Mean(dst, in *Tensor) error {
	if err := in.check(); err != nil {
		return err
	}
	if err := dst.Reset(1, 1, in.C); err != nil {
		return err
	}
	(&Pool{mean: true}).place(dst.Data, in, 0, in.H, 0, in.W)
	return nil
}
