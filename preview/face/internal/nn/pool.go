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
	return p.run(dst, in, true)
}

// run uses vector code where there is any and fast says so.
func (p *Pool) run(dst, in *Tensor, fast bool) error {
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
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	p.window.run(dst, in, s, func(j *placesJob, _, _ int) {
		switch {
		case p.mean:
			meanGo(j)
		case !fast || !fastMax(j):
			maxGo(j)
		}
	})
	if p.act != None {
		for i, s := range dst.Data {
			dst.Data[i] = p.act.apply(s, 0)
		}
	}
	return nil
}

// maxGo is the work in plain Go.
func maxGo(j *placesJob) {
	for p := range j.n {
		d := j.dst[p*j.out:][:j.out]
		copy(d, j.src[p*j.advance:])
		for y := range j.rows {
			for x := range j.cols {
				for i, s := range j.src[p*j.advance+y*j.rowStep+x*j.in:][:j.in] {
					d[i] = max(d[i], s)
				}
			}
		}
	}
}

func meanGo(j *placesJob) {
	n := float32(j.rows * j.cols)
	for p := range j.n {
		d := j.dst[p*j.out:][:j.out]
		clear(d)
		for y := range j.rows {
			for x := range j.cols {
				for i, s := range j.src[p*j.advance+y*j.rowStep+x*j.in:][:j.in] {
					d[i] += s
				}
			}
		}
		for i := range d {
			d[i] /= n
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
	meanGo(&placesJob{src: in.Data, dst: dst.Data, n: 1, rows: in.H, cols: in.W, rowStep: in.W * in.C, in: in.C, out: in.C})
	return nil
}
