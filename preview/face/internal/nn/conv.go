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
	return c.run(dst, in, fastPanel)
}

// panelFunc computes all pixels of one panel, or reports that it cannot.
type panelFunc func(j *panelJob) bool

func (c *Conv) run(dst, in *Tensor, fast panelFunc) error {
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
	if err := dst.Reset(oh, ow, c.out); err != nil {
		return err
	}
	s := scratches.Get().(*scratch)
	defer scratches.Put(s)
	src, err := c.around(in, s)
	if err != nil {
		return err
	}
	// Without a border the columns of a window's row are one run of values.
	s.at = s.at[:0]
	for y := range oh {
		for x := range ow {
			s.at = append(s.at, (y*c.sh*src.W+x*c.sw)*c.in)
		}
	}
	j := panelJob{
		in: src.Data, at: s.at, rows: c.kh, step: src.W * c.in, run: c.kw * c.in,
		stride: c.out, act: c.act, edge: s.edge,
	}
	for o := 0; o < c.out; o += width {
		j.panel = c.panels[o/width*c.panel():][:c.panel()]
		j.dst = dst.Data[o:]
		j.cols = min(width, c.out-o)
		if !fast(&j) {
			panelGo(&j)
		}
	}
	s.edge = j.edge
	return nil
}
