package jpeg

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
)

// DefaultMaxPixels is the largest picture that is decoded where Options say
// nothing: above the 151 MP of the largest medium-format sensors.
const DefaultMaxPixels = 160 << 20

// MinBits is the least that an 8x8 block takes in sequential coding: one bit
// for its DC code and one for the end of block (T.81 F.1.2). Progressive coding
// takes at least half of it, since one code can end whole runs of blocks.
const MinBits = 2

// Options say how to decode. The zero value is the whole picture at full size.
type Options struct {
	Scale     int             // 1, 2, 4 or 8: one sample is the mean of that many squared; 0 = 1
	MaxPixels int             // declared pixels above which a picture is refused; 0 = DefaultMaxPixels. Progressive ones: half of it
	Stop      <-chan struct{} // closed: decoding ends early with ErrStopped, as the Done of a context
	Into      *Image          // an Image whose planes may be reused and that is returned; nil = a new one
}

// Decode decodes one JPEG. At a scale of 2, 4 or 8 each sample is the rounded
// mean of its square of samples of the full decode; at the right and the lower
// edge only samples inside the picture count, so that the size is rounded up.
//
// A picture whose data end too early or are broken gives the rows before that
// with Truncated set, if there is at least one row of blocks; a progressive
// one gives what its complete scans hold. On error the Image is nil.
func Decode(src []byte, o Options) (*Image, error) {
	switch o.Scale {
	case 0:
		o.Scale = 1
	case 1, 2, 4, 8:
	default:
		return nil, UnsupportedError(fmt.Sprintf("scale 1/%d", o.Scale))
	}
	h, err := headerOf(src)
	if err != nil {
		return nil, err
	}
	if err := h.admit(int64(len(src)), o.MaxPixels); err != nil {
		return nil, err
	}
	h.stop = o.Stop
	m, derr := h.decode(bytes.NewReader(src))
	if derr == nil {
		return o.finish(m)
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
	if whole {
		return o.finish(m)
	}
	out, err := o.finish(m)
	if err != nil {
		return nil, err
	}
	out.cut((rows + o.Scale - 1) / o.Scale)
	return out, nil
}

// admit refuses what is too large or cannot be true.
func (h *header) admit(size int64, maxPixels int) error {
	if h.Precision != 8 {
		return UnsupportedError(fmt.Sprintf("%d bits a sample", h.Precision))
	}
	if maxPixels <= 0 {
		maxPixels = DefaultMaxPixels
	}
	bits := h.blocks() * MinBits
	if h.Progressive { // its coefficients are all kept until the end
		maxPixels, bits = maxPixels/2, bits/2
	}
	if int64(h.Width)*int64(h.Height) > int64(maxPixels) {
		return &SizeError{h.Width, h.Height, size, "more pixels than allowed"}
	}
	if (size-h.scan)*8 < bits {
		return &SizeError{h.Width, h.Height, size, "more than the data can hold"}
	}
	return nil
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

func stopped(stop <-chan struct{}) bool {
	select {
	case <-stop:
		return true
	default:
		return false // a nil channel too
	}
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

// finish makes planes of what the standard library gave, at the scale wanted.
func (o Options) finish(m image.Image) (*Image, error) {
	out := o.Into
	if out == nil {
		out = &Image{}
	}
	full := planes(m)
	if !full.Valid() {
		return nil, UnsupportedError(fmt.Sprintf("decoded to %T", m))
	}
	if o.Scale > 1 {
		reduce(out, full, o.Scale)
		return out, nil
	}
	*out = *full // the decoder's own planes: nothing to copy
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

// cut marks the rows from rows on as missing and makes them mid-grey.
func (m *Image) cut(rows int) {
	m.Truncated, m.Rows = true, min(rows, m.Height)
	for y := m.Rows; y < m.Height; y++ {
		grey(m.Y[y*m.YStride:][:m.Width])
	}
	w, h := m.ChromaSize()
	for y := ceilDiv(m.Rows, m.SubY); y < h; y++ {
		grey(m.Cb[y*m.CStride:][:w])
		grey(m.Cr[y*m.CStride:][:w])
	}
}

func grey(row []byte) {
	for i := range row {
		row[i] = 128
	}
}
