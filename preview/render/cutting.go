package render

import (
	"garner/preview/finished"
	"garner/preview/icc"
	"garner/preview/imprint"
	"garner/preview/jpeg"
	"garner/preview/resample"
)

// cutting is a cut of one picture on its way.
type cutting struct {
	cut  *Cut
	res  *Result
	plan resample.Plan
	conv *icc.Converter
	mark *imprint.Mark

	planes *jpeg.Image // of the picture itself, where nothing changes them

	encoded []float32 // one row
	sharp   *resample.Sharpener
	turner  *resample.Turner
	sheet   *imprint.Sheet
	fault   error // the first; rows that come later are dropped
}

// takes reports whether the planes of the picture are those of the cut, with no more
// chroma than the cut is to have where it is to have less.
func (c *cutting) takes(m *jpeg.Image, p *finished.Picture) bool {
	return c.mark == nil && c.keeps(p) && (c.cut.Chroma == imprint.Full || m.SubX >= 2 && m.SubY >= 2)
}

// keeps reports whether nothing changes the picture: all pixels, as they lie, in the
// same space, not sharpened.
func (c *cutting) keeps(p *finished.Picture) bool {
	whole := c.plan.W == p.Width && c.plan.H == p.Height && c.plan.Crop.Dx() == p.Width && c.plan.Crop.Dy() == p.Height
	return whole && p.Orientation <= 1 && c.cut.Sharpen.Amount == 0 && c.conv.Same()
}

// begin returns what the rows of the picture go into.
func (c *cutting) begin(orientation int) (*resample.Resampler, error) {
	w, h := c.plan.W, c.plan.H
	var err error
	c.sheet, err = imprint.NewSheet(c.plan.UprightW, c.plan.UprightH, imprint.SheetOptions{Space: c.cut.Space, Chroma: c.cut.Chroma, Mark: c.mark})
	if err != nil {
		return nil, err
	}
	if c.turner, err = resample.NewTurner(w, h, orientation, func(_ int, row []float32) error { return c.sheet.Encoded(row) }); err != nil {
		return nil, err
	}
	if c.sharp, err = resample.NewSharpener(w, h, c.cut.Sharpen, func(_ int, row []float32) error { return c.turner.Push(row) }); err != nil {
		return nil, err
	}
	c.encoded = make([]float32, 3*w)
	curve := curveOf(c.cut.Space)
	return resample.New(c.plan.Crop, w, h, func(_ int, row []float32) error {
		if c.fault == nil {
			curve.Encode(c.encoded, row)
			c.fault = c.sharp.Push(c.encoded)
		}
		return nil
	})
}

// close ends the rows.
func (c *cutting) close() {
	for _, end := range []func() error{c.sharp.Close, c.turner.Close} {
		if err := end(); c.fault == nil {
			c.fault = err
		}
	}
	if c.fault == nil {
		c.planes, c.fault = c.sheet.Picture()
	}
	c.sharp, c.turner, c.sheet = nil, nil, nil
}

// finish makes the file and reads it once.
func (c *cutting) finish() {
	if c.res.Err = c.fault; c.fault != nil {
		return
	}
	o := imprint.Output{Quality: c.cut.Quality, Limit: c.cut.Limit, PPI: c.cut.PPI, Space: c.cut.Space, Profile: icc.Encode(c.cut.Space), Meta: c.cut.Meta}
	written, err := imprint.Write(c.planes, o)
	if err == nil {
		err = imprint.Check(written.Bytes, c.planes, o, written.Quality)
	}
	c.planes = nil
	if c.res.Err = err; err == nil {
		c.res.Bytes, c.res.Quality, c.res.Shortened = written.Bytes, written.Quality, written.Shortened
	}
}
