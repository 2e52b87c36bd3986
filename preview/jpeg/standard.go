package jpeg

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
)

// This file decodes with the standard library what this package leaves to it:
// progressive and CMYK pictures, and sequential ones in an unusual order.

// standard decodes src and takes the part that is wanted out of it.
func (h *header) standard(src []byte, o Options, part image.Rectangle) (*Image, error) {
	m, derr := h.decode(bytes.NewReader(src))
	if derr == nil {
		return o.finish(m, part, h.Height)
	}
	if _, ok := derr.(jpeg.UnsupportedError); ok {
		return nil, UnsupportedError(derr.Error())
	}
	m, rows, whole, err := h.mend(src, derr)
	if stopped(o.Stop) {
		return nil, ErrStopped
	}
	if err != nil {
		return nil, FormatError(derr.Error())
	}
	out, err := o.finish(m, part, rows)
	if err == nil && !whole && rows == h.Height { // all rows are there, but not all of their detail
		out.Truncated = true
	}
	return out, err
}

// stoppable is a reader that ends when it is told to. The decoder reads a few
// KiB at a time, so that it ends soon.
type stoppable struct {
	io.Reader
	stop <-chan struct{}
}

func (s stoppable) Read(p []byte) (int, error) {
	if stopped(s.stop) {
		return 0, ErrStopped
	}
	return s.Reader.Read(p)
}

// decode decodes with the standard library and turns a panic into an error.
func (h *header) decode(r io.Reader) (m image.Image, err error) {
	defer func() {
		if p := recover(); p != nil {
			m, err = nil, FormatError(fmt.Sprintf("decoder fault: %v", p))
		}
	}()
	return jpeg.Decode(stoppable{r, h.stop})
}

// finish makes planes of what the standard library gave, at the scale wanted,
// and cuts out the part. Of the picture the first rows are real.
func (o Options) finish(m image.Image, part image.Rectangle, rows int) (*Image, error) {
	out := o.Into
	if out == nil {
		out = &Image{}
	}
	full := planes(m)
	if !full.Valid() {
		return nil, UnsupportedError(fmt.Sprintf("decoded to %T", m))
	}
	frame := frameOf(part, o.Scale, full.SubX, full.SubY, full.Width, full.Height)
	if o.Luma {
		full.Cb, full.Cr, full.CStride, full.SubX, full.SubY = nil, nil, 0, 1, 1
	}
	if o.Scale > 1 {
		reduce(out, full, o.Scale)
	} else {
		*out = *full // the decoder's own planes: nothing to copy
	}
	out.cut(ceilDiv(rows, o.Scale))
	out.crop(frame, frame.Min)
	return out, nil
}

// planes returns m as an Image; YCbCr and grey share their samples with it.
func planes(m image.Image) *Image {
	b := m.Bounds()
	out := &Image{Width: b.Dx(), Height: b.Dy(), Rows: b.Dy(), SubX: 1, SubY: 1}
	switch m := m.(type) {
	case *image.Gray:
		out.Y, out.YStride = m.Pix, m.Stride
	case *image.YCbCr:
		out.Y, out.Cb, out.Cr = m.Y, m.Cb, m.Cr
		out.YStride, out.CStride = m.YStride, m.CStride
		out.SubX, out.SubY = subsampling(m.SubsampleRatio)
	case *image.CMYK:
		out.Reset(b.Dx(), b.Dy(), 1, 1, false)
		out.fill(func(x, y int) (r, g, b uint8) {
			p := m.Pix[y*m.Stride+4*x:]
			return color.CMYKToRGB(p[0], p[1], p[2], p[3])
		})
	case *image.RGBA:
		out.Reset(b.Dx(), b.Dy(), 1, 1, false)
		out.fill(func(x, y int) (r, g, b uint8) {
			p := m.Pix[y*m.Stride+4*x:]
			return p[0], p[1], p[2]
		})
	}
	return out
}

// fill sets every sample of a 4:4:4 picture.
func (m *Image) fill(rgb func(x, y int) (r, g, b uint8)) {
	for y := range m.Height {
		for x := range m.Width {
			i := y*m.Width + x
			m.Y[i], m.Cb[i], m.Cr[i] = color.RGBToYCbCr(rgb(x, y))
		}
	}
}
