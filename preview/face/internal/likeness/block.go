package likeness

import "garner/preview/face/internal/nn"

// block is two convolutions, to whose result that is added which went in. A block that
// goes down halves the sides; so does the mean of 2 x 2 what went in, the shortcut.
// Where the shortcut has fewer channels, or the convolutions fewer rows and columns,
// zeros stand for them, at the end.
type block struct {
	first, second *nn.Conv
	halve         *nn.Pool // nil where the sides stay
	uneven        bool     // the convolutions have fewer rows and columns
}

// memory is what a run needs.
type memory struct{ mid, short, sum, wide nn.Tensor }

// block reads a block for an input of side x side; sides of the result are returned.
func (s store) block(name string, down bool, side, in, out int) (*block, int, error) {
	b := &block{}
	first := shape{3, 1, in, out, nn.Same, nn.ReLU}
	second := shape{3, 1, out, out, nn.Same, nn.ReLU} // after the sum
	var err error
	if down {
		first.stride, first.pad = 2, nn.Valid
		if b.halve, err = nn.NewAvgPool(2, 2, 2, 2, nn.Valid, nn.None); err != nil {
			return nil, 0, err
		}
		if b.uneven = (side-3)/2+1 != side/2; b.uneven {
			second.act = nn.None // the sum is a layer of its own
		}
		side /= 2
	}
	if b.first, err = s.conv(name+"/conv1", first, nil, 1); err != nil {
		return nil, 0, err
	}
	b.second, err = s.conv(name+"/conv2", second, nil, 1)
	return b, side, err
}

func (b *block) run(dst, in *nn.Tensor, m *memory) error {
	if err := b.first.Run(&m.mid, in); err != nil {
		return err
	}
	short := in
	if b.halve != nil {
		short = &m.short
		if err := b.halve.Run(short, in); err != nil {
			return err
		}
	}
	if !b.uneven {
		return b.second.RunAdd(dst, &m.mid, short)
	}
	if err := b.second.Run(&m.sum, &m.mid); err != nil {
		return err
	}
	if err := nn.Pad(dst, &m.sum, [3][2]int{{0, short.H - m.sum.H}, {0, short.W - m.sum.W}}, 0); err != nil {
		return err
	}
	if err := nn.Pad(&m.wide, short, [3][2]int{{}, {}, {0, dst.C - short.C}}, 0); err != nil {
		return err
	}
	return nn.Add(dst, dst, &m.wide, nn.ReLU)
}
