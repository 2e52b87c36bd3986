package finished

import (
	"context"
	"errors"
	"io"
)

// This file puts the rows of strips and tiles together.

func (t *tiffBody) rows(ctx context.Context, p *Picture, emit func(int, []uint16) error) error {
	f := newTIFFRow(t, p)
	if t.tiled {
		return t.tileRows(ctx, p, f, emit)
	}
	planes := 1
	if t.planar {
		planes = t.samples
	}
	parts := make([]*unpacker, planes)
	for y := range p.Height {
		for c := range planes {
			if t.planar && !t.wanted(p, c) {
				continue
			}
			if y%t.partH == 0 {
				if parts[c] == nil {
					parts[c] = newUnpacker(t, p)
				}
				if err := parts[c].open(c*t.down + y/t.partH); err != nil {
					return t.fault(p, y, err)
				}
			}
			at, step := 0, 1
			if t.planar {
				at, step = c, t.samples
			}
			last := y%t.partH == t.partH-1 || y == p.Height-1
			if err := parts[c].row(f.pixels[at:], step, p.Width, last); err != nil {
				return t.fault(p, y, err)
			}
		}
		if err := emit(y, f.finish(f.pixels)); err != nil {
			return err
		}
	}
	return nil
}

// tileRows unpacks a row of tiles at a time.
func (t *tiffBody) tileRows(ctx context.Context, p *Picture, f *tiffRow, emit func(int, []uint16) error) error {
	width := p.Width * t.samples
	band := make([]uint16, t.bandSamples(p))
	u := newUnpacker(t, p)
	planes := 1
	if t.planar {
		planes = t.samples
	}
	for top := 0; top < p.Height; top += t.partH {
		rows := min(t.partH, p.Height-top)
		for i := range planes * t.across {
			c, col := i/t.across, i%t.across
			if t.planar && !t.wanted(p, c) {
				continue
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := u.open((c*t.down+top/t.partH)*t.across + col); err != nil {
				return t.fault(p, top, err)
			}
			at, step := col*t.partW*t.samples, 1
			if t.planar {
				at, step = at+c, t.samples
			}
			for y := range rows {
				err := u.row(band[y*width+at:(y+1)*width], step, min(t.partW, p.Width-col*t.partW), y == t.partH-1)
				if err != nil {
					return t.fault(p, top, err)
				}
			}
		}
		for y := range rows {
			if err := emit(top+y, f.finish(band[y*width:][:width])); err != nil {
				return err
			}
		}
	}
	return nil
}

// fault says what an unpacker's error means in row y.
func (t *tiffBody) fault(p *Picture, y int, err error) error {
	var format FormatError
	switch {
	case ended(err):
		return &TruncatedError{y, p.Height}
	case errors.As(err, &format):
		return format
	case isInflate(err):
		return FormatError("a broken TIFF: its compressed data cannot be unpacked")
	}
	return err
}

// tiffRow brings pixels as they are in the file to what Rows gives.
type tiffRow struct {
	t        *tiffBody
	channels int
	pixels   []uint16 // one row
	out      []uint16 // the same, if nothing has to be done
}

func newTIFFRow(t *tiffBody, p *Picture) *tiffRow {
	f := &tiffRow{t: t, channels: p.Channels(), pixels: make([]uint16, p.Width*t.samples)}
	if t.palette != nil || t.samples != f.channels {
		f.out = make([]uint16, p.Width*f.channels)
	}
	return f
}

// finish returns the row that the pixels show. It may change them.
func (f *tiffRow) finish(px []uint16) []uint16 {
	t, n := f.t, f.channels
	switch {
	case t.palette != nil:
		for x, v := range px {
			for c := range 3 {
				f.out[3*x+c] = uint16(t.palette[c*256+int(v>>8)])
			}
		}
		return f.out
	case f.out == nil:
		if t.invert {
			invert(px)
		}
		return px
	}
	for x, i := 0, 0; x < len(f.out); x, i = x+n, i+t.samples {
		copy(f.out[x:x+n], px[i:i+n])
	}
	if t.invert {
		invert(f.out)
	}
	if t.alpha > 0 {
		white := uint32(65535)
		if n == int(CMYK) {
			white = 0 // without ink
		}
		for x, i := 0, t.alpha; x < len(f.out); x, i = x+n, i+t.samples {
			onWhite(f.out[x:x+n], uint32(px[i]), white, t.associated)
		}
	}
	return f.out
}

func invert(px []uint16) {
	for i, v := range px {
		px[i] = 65535 - v
	}
}

// onWhite lays a pixel on white. Associated samples have been multiplied already.
func onWhite(px []uint16, alpha, white uint32, associated bool) {
	if alpha == 65535 {
		return
	}
	rest := white * (65535 - alpha)
	for i, v := range px {
		if associated {
			px[i] = uint16(min(uint32(v)+(rest+32767)/65535, 65535))
		} else {
			px[i] = uint16((uint64(v)*uint64(alpha) + uint64(rest) + 32767) / 65535)
		}
	}
}

// full reads a whole row; nothing at all is an end too.
func full(r io.Reader, b []byte) error {
	_, err := io.ReadFull(r, b)
	return err
}
