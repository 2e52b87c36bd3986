package render

import (
	"context"
	"errors"
	"fmt"

	"garner/preview/finished"
	"garner/preview/icc"
	"garner/preview/jpeg"
	"garner/preview/resample"
)

// Renderer keeps what pictures of one run share: conversions of their profiles and
// stamps of their sizes. The zero value is ready; it may be used by several
// goroutines.
type Renderer struct {
	// Decoded is told of every decode of a picture, by the goroutine that decodes;
	// nil = nobody counts.
	Decoded func()

	shared shared
}

// Render cuts a picture. The error is about the picture as a whole, and there are no
// results then. ctx.Err is returned as it is.
func (r *Renderer) Render(ctx context.Context, p *finished.Picture, cuts []Cut) ([]Result, error) {
	w := &work{r: r, p: p, results: make([]Result, len(cuts))}
	for i := range cuts {
		if err := w.prepare(&cuts[i], &w.results[i]); err != nil {
			return nil, err
		}
	}
	if err := w.decode(ctx); err != nil {
		return nil, err
	}
	for _, c := range w.cuts {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		c.finish()
	}
	return w.results, nil
}

// work is one picture on its way.
type work struct {
	r       *Renderer
	p       *finished.Picture
	results []Result
	cuts    []*cutting // of which something can be made
}

// prepare works out what a cut means for the picture.
func (w *work) prepare(c *Cut, res *Result) error {
	conv, err := w.r.shared.converter(w.p, c.Space)
	if err != nil {
		return err
	}
	plan, err := c.Size.Plan(w.p.Width, w.p.Height, w.p.Orientation)
	if err != nil {
		res.Err = err
		return nil
	}
	res.Width, res.Height, res.Smaller = plan.UprightW, plan.UprightH, plan.Smaller
	one := &cutting{cut: c, res: res, plan: plan, conv: conv}
	if c.Stamper != nil {
		if one.mark, res.Err = w.r.shared.mark(c.Stamper, plan.UprightW, plan.UprightH, c.Space); res.Err != nil {
			return nil
		}
	}
	w.cuts = append(w.cuts, one)
	return nil
}

// decode brings the picture into the cuts, once.
func (w *work) decode(ctx context.Context) error {
	if len(w.cuts) == 0 {
		return nil
	}
	if w.r.Decoded != nil {
		w.r.Decoded()
	}
	planes, ok, err := w.p.Planes(ctx)
	if err != nil {
		return err
	}
	if ok && (planes.Grey() || w.p.Channels() != 3) {
		return w.fromGrey(ctx, planes)
	}
	if ok {
		return w.fromPlanes(ctx, planes)
	}
	return w.fromRows(ctx)
}

// fromPlanes feeds what cannot take the planes as they are.
func (w *work) fromPlanes(ctx context.Context, m *jpeg.Image) error {
	var rest []*cutting
	for _, c := range w.cuts {
		if c.takes(m, w.p) {
			c.planes = m
		} else {
			rest = append(rest, c)
		}
	}
	if len(rest) == 0 {
		return nil
	}
	rows, err := resample.NewPlanes(m)
	if err != nil {
		return err
	}
	rgb := make([]byte, 3*w.p.Width)
	f, err := w.feeds(rest)
	if err != nil {
		return err
	}
	for y := range w.p.Height {
		if y%64 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		rows.Row(rgb, y)
		f.row(func(conv *icc.Converter, dst []float32) { conv.Bytes(dst, rgb) })
	}
	return f.close()
}

// fromGrey feeds a plane of luma alone.
func (w *work) fromGrey(ctx context.Context, m *jpeg.Image) error {
	f, err := w.feeds(w.cuts)
	if err != nil {
		return err
	}
	for y := range w.p.Height {
		if y%64 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		row := m.Y[y*m.YStride:][:m.Width]
		f.row(func(conv *icc.Converter, dst []float32) { conv.Bytes(dst, row) })
	}
	return f.close()
}

func (w *work) fromRows(ctx context.Context) error {
	f, err := w.feeds(w.cuts)
	if err != nil {
		return err
	}
	err = w.p.Rows(ctx, func(_ int, row []uint16) error {
		f.row(func(conv *icc.Converter, dst []float32) { conv.Linear(dst, row) })
		return nil
	})
	if err != nil {
		return err
	}
	return f.close()
}

// feeds has a feed for each space that is wanted.
type feeds struct {
	feeds []*resample.Feed
	convs []*icc.Converter
	cuts  [][]*cutting
}

func (w *work) feeds(cuts []*cutting) (*feeds, error) {
	f := &feeds{}
	for _, c := range cuts {
		k := 0
		for k < len(f.convs) && f.convs[k] != c.conv {
			k++
		}
		if k == len(f.convs) {
			f.convs, f.cuts = append(f.convs, c.conv), append(f.cuts, nil)
		}
		f.cuts[k] = append(f.cuts[k], c)
	}
	for _, group := range f.cuts {
		var to []*resample.Resampler
		for _, c := range group {
			rs, err := c.begin(w.p.Orientation)
			if err != nil {
				return nil, fmt.Errorf("a picture of %d by %d: %w", c.plan.W, c.plan.H, err)
			}
			to = append(to, rs)
		}
		feed, err := resample.NewFeed(w.p.Width, w.p.Height, to...)
		if err != nil {
			return nil, err
		}
		f.feeds = append(f.feeds, feed)
	}
	return f, nil
}

// row feeds one row; a fault of a cut stays with the cut.
func (f *feeds) row(fill func(conv *icc.Converter, dst []float32)) {
	for k, feed := range f.feeds {
		fill(f.convs[k], feed.Row())
		_ = feed.Done() // sinks return no error, and Close counts rows
	}
}

func (f *feeds) close() error {
	var errs []error
	for k, feed := range f.feeds {
		errs = append(errs, feed.Close())
		for _, c := range f.cuts[k] {
			c.close()
		}
	}
	return errors.Join(errs...)
}
