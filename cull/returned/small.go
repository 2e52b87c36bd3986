package returned

import (
	"context"
	"os"

	"garner/preview/finished"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// smallEdge is how long a picture is at least before it is looked at: twice a
// thumbnail, which looks are taken of.
const smallEdge = 2 * pix.ThumbEdge

// maxScaled is up to how many bytes a JPEG is read as a whole, to be decoded at a
// smaller scale, which costs a fraction of its rows.
const maxScaled = 256 << 20

// small decodes a picture once and brings it to about the size of a thumbnail,
// upright. Its colours are those it was coded with: nothing here depends on them.
func small(ctx context.Context, file *os.File, size int64, p *finished.Picture) (*jpeg.Image, error) {
	m, err := brought(ctx, file, size, p, smallEdge)
	if err != nil {
		return nil, err
	}
	return pix.Thumb(m, p.Orientation), nil
}

// Upright decodes a picture, a JPEG, TIFF or PNG, and brings it to so many pixels on its
// long edge, or leaves it as small as it is. Its colours are those it was coded with.
func Upright(ctx context.Context, path string, longEdge int) (*jpeg.Image, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() { // a pipe would be waited for
		return nil, finished.FormatError("it is no file")
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	p, err := finished.Open(file, info.Size())
	if err != nil {
		return nil, err
	}
	m, err := brought(ctx, file, info.Size(), p, longEdge)
	if err != nil {
		return nil, err
	}
	return pix.Orient(pix.Fit(m, longEdge), p.Orientation), nil
}

// brought decodes a picture once, as it is stored, to so many pixels on its long edge or
// more, if it has them.
func brought(ctx context.Context, file *os.File, size int64, p *finished.Picture, edge int) (*jpeg.Image, error) {
	if m := scaled(ctx, file, size, p, edge); m != nil {
		return m, nil
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return reduced(ctx, p, edge)
}

// scaled decodes a JPEG at a smaller scale; nil where that cannot be, or is not whole:
// then its rows say what is wrong.
func scaled(ctx context.Context, file *os.File, size int64, p *finished.Picture, edge int) *jpeg.Image {
	if p.Format != finished.JPEG || p.Model == finished.CMYK || size > maxScaled {
		return nil
	}
	scale := 1
	for scale < 8 && max(p.Width, p.Height)/(2*scale) >= edge {
		scale *= 2
	}
	src := make([]byte, size)
	if n, err := file.ReadAt(src, 0); int64(n) < size && err != nil {
		return nil
	}
	m, err := jpeg.Decode(src, jpeg.Options{Scale: scale, Stop: ctx.Done()})
	if err != nil || m.Truncated {
		return nil
	}
	return m
}

// reduced takes the means of squares of a picture's rows as they come.
func reduced(ctx context.Context, p *finished.Picture, edge int) (*jpeg.Image, error) {
	w, h := p.Width, p.Height
	if long := max(w, h); long > edge {
		w, h = max(1, w*edge/long), max(1, h*edge/long)
	}
	n := p.Channels()
	m := &jpeg.Image{}
	m.Reset(w, h, 1, 1, n == 1)
	sums, count := make([]uint64, w*n), make([]uint64, w)
	at := 0
	flush := func() {
		for x := range w {
			if count[x] > 0 {
				place(m, x, at, sums[x*n:][:n], count[x])
			}
		}
		clear(sums)
		clear(count)
	}
	err := p.Rows(ctx, func(y int, row []uint16) error {
		if to := y * h / p.Height; to != at {
			flush()
			at = to
		}
		for x := range p.Width {
			to := x * w / p.Width
			for c := range n {
				sums[to*n+c] += uint64(row[x*n+c])
			}
			count[to]++
		}
		return nil
	})
	flush()
	return m, err
}

// place writes one sample: the JPEG's luma and chroma (ITU-T T.871 §7) of the mean of
// so many samples. Of CMYK it is what ink leaves of the light.
func place(m *jpeg.Image, x, y int, sum []uint64, count uint64) {
	var v [4]float64
	for i, s := range sum {
		v[i] = float64(s) / float64(count) / 257
	}
	if len(sum) == 1 {
		m.Y[y*m.YStride+x] = byte(v[0] + 0.5)
		return
	}
	if len(sum) == 4 {
		for i := range 3 {
			v[i] = (255 - v[i]) * (255 - v[3]) / 255
		}
	}
	code := func(f float64) byte { return byte(max(0, min(255, f+0.5))) }
	m.Y[y*m.YStride+x] = code(0.299*v[0] + 0.587*v[1] + 0.114*v[2])
	m.Cb[y*m.CStride+x] = code(128 - 0.168736*v[0] - 0.331264*v[1] + 0.5*v[2])
	m.Cr[y*m.CStride+x] = code(128 + 0.5*v[0] - 0.418688*v[1] - 0.081312*v[2])
}
