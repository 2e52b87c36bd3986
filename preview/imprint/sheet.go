package imprint

import (
	"fmt"

	"garner/preview/icc"
	"garner/preview/jpeg"
)

// Chroma says how many samples of colour a file has.
type Chroma int

// Full is a sample for each pixel (4:4:4), Half one for two by two (4:2:0).
const (
	Full Chroma = iota
	Half
)

// SheetOptions say what rows become.
type SheetOptions struct {
	Space  icc.Space
	Chroma Chroma
	Grey   bool  // no chroma at all: luma alone
	Mark   *Mark // laid onto the rows; nil = none
}

// Sheet is a picture that is being filled, row by row from the top. It is not
// for use by several goroutines at a time.
type Sheet struct {
	o     SheetOptions
	codes *table
	m     *jpeg.Image
	y     int
	rgb   []byte   // one row, coded
	sums  []uint16 // Half: of the row above, pairs of pixels added
}

// NewSheet returns a sheet for a picture of 1 to 65,535 pixels a side.
func NewSheet(width, height int, o SheetOptions) (*Sheet, error) {
	s := &Sheet{}
	if err := s.Reset(width, height, o); err != nil {
		return nil, err
	}
	return s, nil
}

// Reset begins another picture. Planes that Picture has not given away are used
// again.
func (s *Sheet) Reset(width, height int, o SheetOptions) error {
	switch {
	case width < 1 || height < 1 || width > maxSide || height > maxSide:
		return fmt.Errorf("a picture of %dx%d pixels cannot be a JPEG", width, height)
	case !known(o.Space) || o.Chroma != Full && o.Chroma != Half:
		return fmt.Errorf("unknown colour space or sampling")
	case o.Mark != nil && (o.Mark.width != width || o.Mark.height != height):
		return fmt.Errorf("a stamp for %dx%d pixels on a picture of %dx%d", o.Mark.width, o.Mark.height, width, height)
	}
	if s.m == nil {
		s.m = &jpeg.Image{}
	}
	sub := 1
	if o.Chroma == Half {
		sub = 2
	}
	s.m.Reset(width, height, sub, sub, o.Grey)
	s.o, s.codes, s.y = o, tableOf(o.Space), 0
	if cap(s.rgb) < 3*width {
		s.rgb, s.sums = make([]byte, 3*width), make([]uint16, 3*((width+1)/2))
	}
	s.rgb, s.sums = s.rgb[:3*width], s.sums[:3*((width+1)/2)]
	return nil
}

// maxSide is the longest side of a JPEG (T.81 B.2.2).
const maxSide = 65535

// Row takes the next row: red, green and blue of each pixel as linear light of
// the sheet's space, 0..1. What lies beyond is clipped, NaN is black. The row is
// not kept.
func (s *Sheet) Row(linear []float32) error {
	if err := s.expects(len(linear)); err != nil {
		return err
	}
	rgb, t := s.rgb[:len(linear)], s.codes
	for i, v := range linear {
		rgb[i] = t.code(v)
	}
	s.take()
	return nil
}

// Encoded is Row for values that the curve has been applied to already.
func (s *Sheet) Encoded(values []float32) error {
	if err := s.expects(len(values)); err != nil {
		return err
	}
	rgb := s.rgb[:len(values)]
	for i, v := range values {
		switch {
		case !(v > 0):
			rgb[i] = 0
		case v >= 1:
			rgb[i] = 255
		default:
			rgb[i] = byte(float32(v*255) + 0.5) // not fused: the same on every processor
		}
	}
	s.take()
	return nil
}

// Codes is Row for 8-bit codes of red, green and blue, as of a picture that was
// turned.
func (s *Sheet) Codes(rgb []byte) error {
	if err := s.expects(len(rgb)); err != nil {
		return err
	}
	copy(s.rgb, rgb)
	s.take()
	return nil
}

func (s *Sheet) expects(n int) error {
	switch {
	case s.m == nil || s.y >= s.m.Height:
		return fmt.Errorf("a row more than the picture has")
	case n != len(s.rgb):
		return fmt.Errorf("a row of %d values for %d pixels", n, s.m.Width)
	}
	return nil
}

// take brings the row of codes into the planes.
func (s *Sheet) take() {
	y, m := s.y, s.m
	s.y++
	s.o.Mark.Onto(y, s.rgb)
	lumaRow(m.Y[y*m.YStride:][:m.Width], s.rgb)
	switch {
	case s.o.Grey:
	case s.o.Chroma == Full:
		chromaRow(m.Cb[y*m.CStride:][:m.Width], m.Cr[y*m.CStride:][:m.Width], s.rgb)
	default:
		first, last := y%2 == 0, y == m.Height-1
		addPairs(s.sums, s.rgb, first)
		if first && last { // the row below repeats it
			addPairs(s.sums, s.rgb, false)
		}
		if !first || last {
			at := y / 2 * m.CStride
			n := len(s.sums) / 3
			chromaSums(m.Cb[at:][:n], m.Cr[at:][:n], s.sums)
		}
	}
}

// Picture returns the planes once all rows are there, and leaves them to the
// caller.
func (s *Sheet) Picture() (*jpeg.Image, error) {
	if s.m == nil || s.y < s.m.Height {
		return nil, fmt.Errorf("a picture of which rows are missing")
	}
	m := s.m
	s.m = nil
	return m, nil
}
