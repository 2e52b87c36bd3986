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
	m, err := d.decoders.Decode(d.src, o)
	if cerr := ctx.Err(); cerr != nil {
		return nil, cerr
	}
	return m, err
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
