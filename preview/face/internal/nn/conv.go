package nn

// ConvSpec describes a convolution.
type ConvSpec struct {
	In, Out          int // channels
	KernelH, KernelW int
	StrideH, StrideW int
	Pad              Padding
	Weights          []float32 // in the order out, row, column, in
	Bias             []float32 // one for each of Out, or none
	Act              Act
	Slope            []float32 // PReLU: one for each of Out, or one for all
}

// Conv is a convolution with its activation.
type Conv struct {
	window
	in, out int
	act     Act
	panels  []float32
}

// A panel is what a kernel reads for width output channels: their biases, their
// slopes, and for each weight in the order row, column, in that of each channel.
// Channels that do not exist have zeros.
const (
	width = 16
	head  = 2 * width
)

// NewConv packs a convolution. Nothing of the specification is kept.
func NewConv(s ConvSpec) (*Conv, error) {
	c := &Conv{window: window{s.KernelH, s.KernelW, s.StrideH, s.StrideW, s.Pad}, in: s.In, out: s.Out, act: s.Act}
	if err := c.window.check(); err != nil {
		return nil, err
	}
	n, ok := volume(s.Out, s.KernelH, s.KernelW, s.In)
	if !ok || n != len(s.Weights) {
		return nil, shapeError("%d weights for a kernel of %d x %d x %d x %d", len(s.Weights), s.Out, s.KernelH, s.KernelW, s.In)
	}
	count := (s.Out + width - 1) / width
	bias, err := perChannel("biases", s.Bias, s.Out, count*width, true)
	if err != nil {
		return nil, err
	}
	slope, err := s.Act.slopes(s.Slope, s.Out, count*width)
	if err != nil {
		return nil, err
	}
	taps := n / s.Out
	c.panels = make([]float32, count*c.panel())
	for o := range count * width {
		p := c.panels[o/width*c.panel():][:c.panel()]
		p[o%width], p[width+o%width] = bias[o], slope[o]
		if o < s.Out {
			for k, w := range s.Weights[o*taps : (o+1)*taps] {
				p[head+k*width+o%width] = w
			}
		}
	}
	return c, nil
}

// panel returns the length of a panel.
func (c *Conv) panel() int { return head + c.kh*c.kw*c.in*width }

// OutShape returns the shape of the result for an input of h x w.
func (c *Conv) OutShape(h, w int) (oh, ow, channels int, err error) {
	oh, ow, err = c.window.out(h, w)
	return oh, ow, c.out, err
}

// Run convolves in to dst, which must not share memory with it.
func (c *Conv) Run(dst, in *Tensor) error {
	return c.run(dst, in, nil, true)
}

// RunAdd convolves in, adds another tensor, and applies the activation to the sum.
// add is as high and wide as the result; channels that it does not have count as
// zero. dst must not share memory with in or add.
func (c *Conv) RunAdd(dst, in, add *Tensor) error {
	if err := add.check(); err != nil {
		return err
	}
	return c.run(dst, in, add, true)
}

// run uses vector code where there is any and fast says so.
func (c *Conv) run(dst, in, add *Tensor, fast bool) error {
	if err := in.check(); err != nil {
		return err
	}
	if in.C != c.in {
		return shapeError("a convolution of %d channels, a picture of %d", c.in, in.C)
	}
	oh, ow, err := c.window.out(in.H, in.W)
	if err != nil {
		return err
	}
	if add != nil && (add.H != oh || add.W != ow || add.C > c.out) {
		return shapeError("%d x %d x %d to be added to %d x %d x %d", add.H, add.W, add.C, oh, ow, c.out)
	}
	if err := dst.Reset(oh, ow, c.out); err != nil {
		return err
	}
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	src, err := c.around(in, s)
	if err != nil {
		return err
	}
	s.at = c.starts(s.at[:0], src, oh, ow)
	// What a chunk of pixels reads stays near while all panels go over it. The
	// last channels come first: see tail.
	chunk := c.chunk(len(s.at))
	for p := 0; p < len(s.at); p += chunk {
		j := panelJob{
			in: src.Data, at: s.at[p:min(p+chunk, len(s.at))], rows: c.kh, step: src.W * c.in, run: c.kw * c.in,
			stride: c.out, act: c.act,
		}
		for o := (c.out - 1) / width * width; o >= 0; o -= width {
			j.panel = c.panels[o/width*c.panel():][:c.panel()]
			j.dst = dst.Data[p*c.out+o:][:(len(j.at)-1)*c.out+min(width, c.out-o)]
			j.cols = min(width, c.out-o)
			j.add, j.addCols = nil, 0
			if add != nil && o < add.C {
				j.addCols, j.addStride = min(width, add.C-o), add.C
				j.add = add.Data[p*add.C+o:][:(len(j.at)-1)*add.C+j.addCols]
			}
			if !fast || !fastPanel(&j) {
				panelGo(&j)
			}
		}
	}
	return nil
}

// starts lists where the window of each pixel of the result begins in src. Without
// a border the columns of a window's row are one run of values.
func (c *Conv) starts(at []int, src *Tensor, oh, ow int) []int {
	for y := range oh {
		row := y * c.sh * src.W * c.in
		for x := range ow {
			at = append(at, row+x*c.sw*c.in)
		}
	}
	return at
}

// atHand is how many values a processor keeps near: in its second cache.
const atHand = 32 << 10

// chunk returns how many of n pixels are to be done at a time.
func (c *Conv) chunk(n int) int {
	return min(n, max(atHand/(c.in*c.sh*c.sw*tile), 16)*tile)
}
