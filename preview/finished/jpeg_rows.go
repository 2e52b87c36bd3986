package finished

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	stdjpeg "image/jpeg"
	"io"

	"garner/preview/jpeg"
)

// Limits of JPEGs, in pixels.
const (
	// maxWhole is up to what size the planes are held as a whole. Larger pictures
	// are decoded in bands, which reads their codes twice.
	maxWhole = 64 << 20
	// maxCoefficients is for what is decoded all at once: progressive pictures,
	// whose coefficients take four bytes each until the end, RGB and CMYK.
	maxCoefficients = 100 << 20

	bandRows = 512
)

// Planes decodes the picture of a JPEG to planes of 8 bits as they are coded, for
// whoever needs no rows. It is false, without an error, where there are none: in
// other formats, in JPEGs of RGB and CMYK, and where the planes would be so large
// that Rows, which then holds a part of them, is the better way.
func (p *Picture) Planes(ctx context.Context) (*jpeg.Image, bool, error) {
	j, ok := p.body.(*jpegBody)
	if !ok || j.direct || p.pixels() > maxWhole {
		return nil, false, nil
	}
	src, err := p.jpegBytes()
	if err != nil {
		return nil, false, err
	}
	m, err := j.decode(ctx, p, src, image.Rectangle{}, nil)
	return m, err == nil, err
}

// maxJPEG is more than the bytes of the largest picture, and what hangs on it.
const maxJPEG = 1 << 30

func (p *Picture) jpegBytes() ([]byte, error) {
	if p.size > maxJPEG {
		return nil, UnsupportedError("a JPEG of more than 1 GB, which is not read")
	}
	return readRange(p.r, 0, p.size)
}

func (p *Picture) pixels() int64 { return int64(p.Width) * int64(p.Height) }

func (j *jpegBody) memory(p *Picture) int64 {
	n := p.pixels()
	if j.direct {
		planes := n * int64(j.components)
		if j.atOnce {
			planes *= 5
		}
		return p.size + 2*planes + n*4
	}
	planes := n
	if j.components == 3 {
		planes += 2 * n / int64(j.subX*j.subY)
	}
	switch {
	case j.atOnce:
		planes *= 5
	case n > maxWhole:
		planes = planes / int64(p.Height) * min(int64(p.Height), bandRows+64)
	}
	return p.size + planes
}

func (j *jpegBody) rows(ctx context.Context, p *Picture, emit func(int, []uint16) error) error {
	if (j.direct || j.atOnce) && p.pixels() > maxCoefficients {
		return errAtOnce(p)
	}
	src, err := p.jpegBytes()
	if err != nil {
		return err
	}
	switch {
	case j.direct:
		return j.directRows(ctx, p, src, emit)
	case p.pixels() > maxWhole && !j.atOnce:
		return j.bandedRows(ctx, p, src, emit)
	}
	m, err := j.decode(ctx, p, src, image.Rectangle{}, nil)
	if err != nil {
		return err
	}
	return j.give(p, m, 0, p.Height, emit)
}

func errAtOnce(p *Picture) error {
	return &SizeError{p.Width, p.Height, "more than is read of a JPEG that is progressive or in scans, rare subsampling, RGB or CMYK"}
}

// bandedRows decodes a few hundred rows at a time, each band with the rows around
// it that chroma is interpolated from. The first decode reads through the file and
// makes the index by which the others begin.
func (j *jpegBody) bandedRows(ctx context.Context, p *Picture, src []byte, emit func(int, []uint16) error) error {
	const margin = 32 // two rows of units and more of any subsampling
	index := &jpeg.Index{}
	for y := 0; y < p.Height; y += bandRows {
		part := image.Rect(0, max(0, y-margin), p.Width, min(p.Height, y+bandRows+margin))
		m, err := j.decode(ctx, p, src, part, index)
		if err != nil {
			return err
		}
		if !index.Full() { // of a rare order: all of it was decoded for this band
			if p.pixels() > maxCoefficients {
				return errAtOnce(p)
			}
			if m, err = j.decode(ctx, p, src, image.Rectangle{}, nil); err != nil {
				return err
			}
			return j.give(p, m, 0, p.Height, emit)
		}
		if err := j.give(p, m, y, min(y+bandRows, p.Height), emit); err != nil {
			return err
		}
	}
	return nil
}

// give emits rows of a decoded picture, or of the part of it that holds them.
func (j *jpegBody) give(p *Picture, m *jpeg.Image, from, to int, emit func(int, []uint16) error) error {
	if !m.Valid() || m.Width != p.Width || m.Grey() != (p.Model == Grey) {
		return FormatError("a broken JPEG: its data are of another picture than its headers")
	}
	c := newChroma(m)
	row := make([]uint16, p.Width*p.Channels())
	for y := from; y < to; y++ {
		c.row(row, m, y-m.Origin.Y)
		if err := emit(y, row); err != nil {
			return err
		}
	}
	return nil
}

// decode decodes all of src or a part; what is not whole is an error.
func (j *jpegBody) decode(ctx context.Context, p *Picture, src []byte, part image.Rectangle, index *jpeg.Index) (*jpeg.Image, error) {
	o := jpeg.Options{MaxPixels: maxPixels, Stop: ctx.Done(), Crop: part, Index: index}
	if j.atOnce {
		o.MaxPixels = 2 * maxCoefficients // of which it takes half for these
	}
	m, err := jpeg.Decode(src, o)
	switch {
	case err != nil:
		return nil, jpegFault(ctx, p, err)
	case m.Truncated:
		if rows := m.Origin.Y + m.Rows; rows < p.Height {
			return nil, &TruncatedError{rows, p.Height}
		}
		return nil, FormatError("cut off: not all of its detail is there")
	}
	return m, nil
}

// jpegFault says in this package's words what package jpeg said.
func jpegFault(ctx context.Context, p *Picture, err error) error {
	var size *jpeg.SizeError
	var format jpeg.FormatError
	var unsupported jpeg.UnsupportedError
	switch {
	case errors.Is(err, jpeg.ErrStopped) && ctx.Err() != nil:
		return ctx.Err()
	case errors.As(err, &size):
		return &SizeError{p.Width, p.Height, size.Reason}
	case errors.As(err, &format):
		return FormatError("a broken JPEG: " + string(format))
	case errors.As(err, &unsupported):
		return UnsupportedError("a JPEG that is not read: " + string(unsupported))
	}
	return err
}

// directRows gives what has no luma: the standard library turns the inverted
// samples that Adobe's segment stands for into ink.
func (j *jpegBody) directRows(ctx context.Context, p *Picture, src []byte, emit func(int, []uint16) error) error {
	// Less than a bit for each block cannot be, as package jpeg has it.
	if p.pixels()/64/8 > p.size {
		return &SizeError{p.Width, p.Height, "more than the data can hold"}
	}
	m, err := stdDecode(ctxReader{ctx, bytes.NewReader(src)})
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return err
	}
	if m.Bounds() != image.Rect(0, 0, p.Width, p.Height) {
		return FormatError("a broken JPEG: its data are of another picture than its headers")
	}
	row := make([]uint16, p.Width*p.Channels())
	for y := range p.Height {
		switch m := m.(type) {
		case *image.RGBA:
			px := m.Pix[y*m.Stride:]
			for x := range p.Width {
				row[3*x], row[3*x+1], row[3*x+2] = wide(px[4*x]), wide(px[4*x+1]), wide(px[4*x+2])
			}
		case *image.CMYK:
			for i, v := range m.Pix[y*m.Stride:][:4*p.Width] {
				row[i] = wide(v)
			}
		case *image.YCbCr: // named R, G, B but in the frame of JFIF, which has no RGB
			for x := range p.Width {
				r, g, b, _ := m.YCbCrAt(x, y).RGBA()
				row[3*x], row[3*x+1], row[3*x+2] = uint16(r), uint16(g), uint16(b)
			}
		default:
			return UnsupportedError(fmt.Sprintf("a JPEG that decodes to %T", m))
		}
		if err := emit(y, row); err != nil {
			return err
		}
	}
	return nil
}

// wide brings a sample of 8 bits to 16.
func wide(v byte) uint16 { return uint16(v) * 257 }

// ctxReader ends when its context does.
type ctxReader struct {
	ctx context.Context
	r   io.Reader
}

func (c ctxReader) Read(b []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	return c.r.Read(b)
}

// stdDecode decodes with the standard library and turns a panic into an error.
func stdDecode(r io.Reader) (m image.Image, err error) {
	defer func() {
		if f := recover(); f != nil {
			m, err = nil, FormatError(fmt.Sprintf("a broken JPEG: %v", f))
		}
	}()
	m, err = stdjpeg.Decode(r)
	var unsupported stdjpeg.UnsupportedError
	switch {
	case err == nil:
		return m, nil
	case errors.As(err, &unsupported):
		return nil, UnsupportedError("a JPEG that is not read: " + string(unsupported))
	case ended(err):
		return nil, FormatError("cut off: not all rows are there")
	}
	return nil, FormatError("a broken JPEG: " + err.Error())
}
