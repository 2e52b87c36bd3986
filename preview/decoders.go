package preview

import (
	"context"
	"image"
	"sync"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// decode decodes a part of the Detail's JPEG. Where the index leads to it that is
// a few milliseconds; a kind of JPEG that has no index is decoded whole once and
// kept.
func (d *Detail) decode(ctx context.Context, o jpeg.Options) (*jpeg.Image, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if !d.index.Full() {
		m, err := d.whole.get(ctx, d.src)
		if err != nil {
			return nil, err
		}
		return part(m, o), nil
	}
	o.Index, o.Stop = d.index, ctx.Done()
	decoder := d.decoders.take()
	m, err := decoder.Decode(d.src, o)
	if cerr := ctx.Err(); cerr != nil {
		return nil, cerr
	}
	if err != nil {
		return nil, err
	}
	d.decoders.give(decoder)
	return m, nil
}

// decoders are those that are not in use. One is used by one goroutine at a time;
// more than a few are not kept.
type decoders struct {
	mu   sync.Mutex
	free []*jpeg.Decoder
}

const (
	maxDecoders  = 2
	decoderBytes = 256 << 10 // about what one keeps
)

func (p *decoders) take() *jpeg.Decoder {
	p.mu.Lock()
	defer p.mu.Unlock()
	n := len(p.free)
	if n == 0 {
		return jpeg.NewDecoder()
	}
	d := p.free[n-1]
	p.free = p.free[:n-1]
	return d
}

func (p *decoders) give(d *jpeg.Decoder) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.free) < maxDecoders {
		p.free = append(p.free, d)
	}
}

func (p *decoders) bytes() int64 {
	p.mu.Lock()
	defer p.mu.Unlock()
	return int64(len(p.free)) * decoderBytes
}

// wholePicture is one that was decoded as a whole, when it was first asked for.
type wholePicture struct {
	mu sync.Mutex
	m  *jpeg.Image
}

func (w *wholePicture) get(ctx context.Context, src []byte) (*jpeg.Image, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.m != nil {
		return w.m, nil
	}
	m, err := jpeg.Decode(src, jpeg.Options{Stop: ctx.Done()})
	if cerr := ctx.Err(); cerr != nil {
		return nil, cerr
	}
	if err != nil {
		return nil, err
	}
	w.m = m
	return m, nil
}

func (w *wholePicture) bytes() int64 {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.m == nil {
		return 0
	}
	return int64(len(w.m.Y) + len(w.m.Cb) + len(w.m.Cr))
}

// part copies a part of a whole picture, as a decode of that part gives it.
func part(m *jpeg.Image, o jpeg.Options) *jpeg.Image {
	r := o.Crop.Intersect(image.Rect(0, 0, m.Width, m.Height))
	x, y := r.Min.X/m.SubX*m.SubX, r.Min.Y/m.SubY*m.SubY
	out := &jpeg.Image{}
	out.Reset(r.Max.X-x, r.Max.Y-y, m.SubX, m.SubY, m.Grey() || o.Luma)
	out.Origin = image.Pt(x, y)
	copyRows(out.Y, out.YStride, m.Y[y*m.YStride+x:], m.YStride, out.Width, out.Height)
	if !out.Grey() {
		w, h := out.ChromaSize()
		at := y/m.SubY*m.CStride + x/m.SubX
		copyRows(out.Cb, out.CStride, m.Cb[at:], m.CStride, w, h)
		copyRows(out.Cr, out.CStride, m.Cr[at:], m.CStride, w, h)
	}
	if m.Truncated && m.Rows < r.Max.Y {
		out.Truncated, out.Rows = true, max(0, m.Rows-y)
	}
	if o.Scale > 1 {
		out = pix.Resize(out, max(1, out.Width/o.Scale), max(1, out.Height/o.Scale))
		out.Origin = image.Pt(x, y).Div(o.Scale)
	}
	return out
}

func copyRows(dst []byte, dstStride int, src []byte, srcStride, w, h int) {
	for y := range h {
		copy(dst[y*dstStride:][:w], src[y*srcStride:])
	}
}
